//! All that the window has heard since it opened.

use std::time::{Duration, Instant};

use siskin_dsp::{HopReport, Settings};

use super::compare::{Compare, Values, leveller_part};
use super::propose::Listener;
use super::spectrum::Spectrum;
use super::stream::Stream;
use super::watch::STOPPED_AFTER;
use crate::telemetry::TelemetryReader;

/// A clip is told of for so long.
pub const CLIP_TOLD: Duration = Duration::from_secs(3);
/// From here on an input clips, linear: a sample at full scale.
const CLIPS_FROM: f32 = 1.0;
/// Before an insert was activated, samples a second and seconds a hop; nothing can be heard then.
const NO_CLOCK: (f32, f32) = (48_000.0, 64.0 / 48_000.0);

/// What was heard, by picture.
#[derive(Default)]
pub struct Heard {
    /// The last seconds.
    pub stream: Stream,
    /// Frequencies.
    pub spectrum: Spectrum,
    /// Listens for a proposal, while a person wants one.
    pub listener: Option<Listener>,
    /// The last report.
    pub last: Option<HopReport>,
    last_at: Option<Instant>,
    clipped_at: Option<Instant>,
    leveller: Values,
}

impl Heard {
    /// Takes all that has come since the last frame.
    pub fn listen(
        &mut self,
        telemetry: &mut TelemetryReader,
        compare: &mut Compare,
        (settings, now): (&Settings, &Values),
    ) {
        let leveller = leveller_part(now);
        if leveller != self.leveller {
            if !self.leveller.is_empty() {
                compare.forget_loudness();
            }
            self.leveller = leveller;
        }
        let (_, hop_s) = telemetry.clock().unwrap_or(NO_CLOCK);
        while let Some(report) = telemetry.read() {
            self.hear(&report, hop_s, settings);
            compare.hear(&report, hop_s);
        }
        while let Some(frame) = telemetry.read_spectrum() {
            self.spectrum.hear_spectrum(&frame);
            if let Some(listener) = &mut self.listener {
                listener.hear_spectrum(&frame);
            }
        }
        if let Some(listener) = &mut self.listener {
            listener.conclude();
        }
    }

    fn hear(&mut self, report: &HopReport, hop_s: f32, settings: &Settings) {
        let now = Instant::now();
        (self.last, self.last_at) = (Some(*report), Some(now));
        if report.input_peak >= CLIPS_FROM {
            self.clipped_at = Some(now);
        }
        self.spectrum.hear(report);
        let ended = self.stream.push(report, hop_s, &settings.sibilance);
        if let Some(sibilant) = &ended {
            self.spectrum.hear_sibilant(sibilant);
        }
        if let Some(listener) = &mut self.listener {
            listener.hear(report, hop_s);
            ended.iter().for_each(|sibilant| listener.hear_sibilant(sibilant));
        }
    }

    /// Whether reports still come.
    pub fn is_running(&self) -> bool {
        self.last_at.is_some_and(|at| at.elapsed() < STOPPED_AFTER)
    }

    /// Whether the input has clipped a moment ago.
    pub fn has_clipped(&self) -> bool {
        self.clipped_at.is_some_and(|at| at.elapsed() < CLIP_TOLD)
    }

    /// The threshold now; before anything was heard that of a voice at Start level.
    pub fn threshold_lufs(&self, settings: &Settings) -> f32 {
        let assumed = settings.follow.start_lufs + settings.sibilance.proportion_lu;
        self.last.map_or(assumed, |report| report.threshold_lufs)
    }
}
