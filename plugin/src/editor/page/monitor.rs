//! Everything received from the audio thread since the window opened.

use std::time::{Duration, Instant};

use siskin_dsp::{HopReport, Settings};

use crate::editor::model::compare::{Compare, Values, leveller_values};
use crate::editor::model::proposal::ProposalListener;
use crate::editor::pictures::spectrum::Spectrum;
use crate::editor::pictures::timeline::Timeline;
use crate::telemetry::{SpectrumFrame, TelemetryReader};

/// Without a report for this long there is no input.
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
    /// Frequencies.
    pub spectrum: Spectrum,
    /// Collects data for a proposal while one is wanted.
    pub proposal: Option<ProposalListener>,
    /// The last report.
    pub last: Option<HopReport>,
    last_at: Option<Instant>,
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
        (self.last, self.last_at) = (Some(*report), Some(Instant::now()));
        self.since_clip_s = if report.input_peak >= CLIP_PEAK {
            Some(0.0)
        } else {
            self.since_clip_s.map(|since_s| since_s + hop_s)
        };
        self.spectrum.add_report(report);
        let ended = self.timeline.push(report, hop_s, &settings.sibilance);
        if let Some(sibilant) = &ended {
            self.spectrum.add_sibilant(sibilant);
        }
        if let Some(proposal) = &mut self.proposal {
            proposal.add_report(report, hop_s);
        }
    }

    fn add_spectrum(&mut self, frame: &SpectrumFrame) {
        self.spectrum.add_spectrum(frame);
        if let Some(proposal) = &mut self.proposal {
            proposal.add_spectrum(frame);
        }
    }

    /// Whether reports still arrive.
    pub fn is_running(&self) -> bool {
        self.last_at.is_some_and(|at| at.elapsed() < INPUT_TIMEOUT)
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
