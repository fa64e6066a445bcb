//! Everything received from the audio thread since the window opened.

use std::time::{Duration, Instant};

use siskin_dsp::{HopReport, Settings};

use crate::editor::model::compare::{Compare, Values, leveller_values};
use crate::editor::model::proposal::ProposalListener;
use crate::editor::model::readings::Readings;
use crate::editor::pictures::song::SongStrip;
use crate::editor::pictures::spectrum::Spectrum;
use crate::editor::pictures::timeline::Timeline;
use crate::telemetry::{SpectrumFrame, TelemetryReader};

/// Without a block for this long there is no input.
pub const INPUT_TIMEOUT: Duration = Duration::from_millis(600);
/// The clip message stays for this much sound after the last clipped sample, seconds.
const CLIP_MESSAGE_S: f32 = 3.0;
/// Input peak from which on the input clips, linear: full scale.
const CLIP_PEAK: f32 = 1.0;
/// Hop length before the insert is activated, seconds; no report arrives then.
const DEFAULT_HOP_S: f32 = 64.0 / 48_000.0;

/// Received reports and spectra, by the picture that shows them.
#[derive(Default)]
pub struct Monitor {
    /// The last seconds.
    pub timeline: Timeline,
    /// The whole song.
    pub song: SongStrip,
    /// Frequencies.
    pub spectrum: Spectrum,
    /// Reductions and peaks.
    pub readings: Readings,
    /// Collects data for a proposal while one is wanted.
    pub proposal: Option<ProposalListener>,
    /// The last report.
    pub last: Option<HopReport>,
    /// The number of the last block, and when it was seen.
    last_block: Option<(u32, Instant)>,
    /// Sound since the last clipped sample, seconds.
    since_clip_s: Option<f32>,
    leveller: Values,
}

impl Monitor {
    /// Takes all reports and spectra that have arrived, in the order in which they were written.
    pub fn poll(
        &mut self,
        telemetry: &mut TelemetryReader,
        compare: &mut Compare,
        settings: &Settings,
        values: &Values,
    ) {
        let leveller = leveller_values(values);
        if leveller != self.leveller {
            if !self.leveller.is_empty() {
                compare.forget_loudness();
            }
            self.leveller = leveller;
        }
        let block = telemetry.ticks().now();
        if self.last_block.is_none_or(|(before, _)| before != block) {
            self.last_block = Some((block, Instant::now()));
        }
        let hop_s = telemetry.clock().map_or(DEFAULT_HOP_S, |(_, hop_s)| hop_s);
        while let Some(report) = telemetry.read() {
            self.add_report(&report, hop_s, settings);
            compare.add_report(&report, hop_s);
            // In step with the reports, so that a proposal does not depend on when frames are drawn.
            while let Some(frame) = telemetry.read_due_spectrum() {
                self.add_spectrum(&frame);
            }
            if let Some(proposal) = &mut self.proposal {
                proposal.update(&settings.sibilance);
            }
        }
    }

    fn add_report(&mut self, report: &HopReport, hop_s: f32, settings: &Settings) {
        self.last = Some(*report);
        self.since_clip_s = if report.input_peak >= CLIP_PEAK {
            Some(0.0)
        } else {
            self.since_clip_s.map(|since_s| since_s + hop_s)
        };
        let (mut heard, mut sibilance) = (*report, settings.sibilance);
        if settings.output.bypass {
            take_nothing(&mut heard);
            sibilance.on = false;
        }
        self.readings.add(&heard, hop_s);
        self.spectrum.add_report(&heard);
        let ended = self.timeline.push(&heard, hop_s, &sibilance);
        if let Some(sibilant) = &ended {
            self.spectrum.add_sibilant(sibilant);
        }
        if let Some(proposal) = &mut self.proposal {
            proposal.add_report(report, hop_s);
        }
    }

    fn add_spectrum(&mut self, frame: &SpectrumFrame) {
        let from_s = self.timeline.last_sibilant_from_s();
        self.spectrum.add_spectrum(frame, from_s);
        if let Some(proposal) = &mut self.proposal {
            proposal.add_spectrum(frame);
        }
    }

    /// Whether blocks still arrive.
    pub fn is_running(&self) -> bool {
        self.last_block
            .is_some_and(|(_, at)| at.elapsed() < INPUT_TIMEOUT)
    }

    /// Whether the input has clipped within the last seconds of sound.
    pub fn has_clipped(&self) -> bool {
        self.since_clip_s.is_some_and(|since_s| since_s < CLIP_MESSAGE_S)
    }

    /// The adaptive threshold, LUFS; before the first report that of a voice at Start level.
    pub fn threshold_lufs(&self, settings: &Settings) -> f32 {
        let assumed = settings.follow.start_lufs + settings.sibilance.proportion_lu;
        self.last.map_or(assumed, |report| report.threshold_lufs)
    }
}

/// Removes every gain from a report: a bypassed insert changes nothing.
fn take_nothing(report: &mut HopReport) {
    report.sibilance_gain_db = 0.0;
    report.sibilance_shelf_gain_db = 0.0;
    report.breath_gain_db = 0.0;
    report.leveller_gain_db = 0.0;
    report.leveller_makeup_db = 0.0;
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_dsp::Class;

    #[test]
    fn a_bypassed_insert_takes_nothing() {
        let (mut settings, mut monitor) = (Settings::default(), Monitor::default());
        settings.output.bypass = true;
        let report = |class| HopReport {
            class,
            voice_lufs: -20.0,
            threshold_lufs: -26.0,
            sibilance_lufs: -18.0,
            sibilance_gain_db: -6.0,
            sibilance_shelf_gain_db: -7.0,
            leveller_gain_db: -9.0,
            ..HopReport::default()
        };
        let mut play = |settings: &Settings| {
            for class in [Class::Sibilant, Class::Voice] {
                (0..100).for_each(|_| monitor.add_report(&report(class), 0.001, settings));
            }
            let most = monitor.readings.reductions_db.map(|reading| reading.greatest());
            (monitor.timeline.tally(settings).unwrap(), most)
        };
        let (tally, most) = play(&settings);
        assert_eq!((tally.output_lu, tally.target_lu, most), (2.0, 2.0, [0.0; 3]));
        settings.output.bypass = false;
        let (tally, most) = play(&settings);
        assert!(
            tally.output_lu < 0.0 && most == [6.0, 0.0, 9.0],
            "{tally:?} {most:?}"
        );
    }
}
