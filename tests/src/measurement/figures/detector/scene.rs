//! All that is needed to judge: a recording, what was heard of it, its levels, and stretches of its samples.

use std::ops::Range;

use siskin_dsp::{Class, HopReport};

use super::listen::Hearing;
use crate::measurement::levels::{SibilanceMeter, common, lufs_from_power};
use crate::measurement::voices::corpus::{Precision, Recording};

/// Reduction that counts, dB: less is hardly heard.
pub const REDUCED_DB: f32 = 1.0;
/// Lower edge of the band of sibilance, Hz: the default of `Detect from`.
const SIBILANCE_FROM_HZ: f64 = 4000.0;
/// How far a label on a grid may be off, ms: two steps of its grid.
const GRID_PRECISION_MS: f64 = 20.0;
/// How far from an event its voice is read, ms.
const VOICE_REACH_MS: f64 = 1000.0;
/// Share of the sibilance energy that must lie in hops of class Sibilant.
const RECALLED_SHARE: f64 = 0.5;

pub struct Scene<'a> {
    pub recording: &'a Recording,
    pub hearing: &'a Hearing,
    pub levels: SibilanceMeter,
}

impl<'a> Scene<'a> {
    pub fn new(recording: &'a Recording, hearing: &'a Hearing) -> Self {
        Self {
            recording,
            hearing,
            levels: SibilanceMeter::new(&recording.audio, recording.sample_rate_hz, SIBILANCE_FROM_HZ),
        }
    }

    /// `time_ms` in samples.
    pub fn samples(&self, time_ms: f64) -> usize {
        samples(time_ms, self.recording.sample_rate_hz)
    }

    /// Samples in ms.
    pub fn ms(&self, samples: f64) -> f64 {
        1e3 * samples / self.recording.sample_rate_hz
    }

    /// A label and as much on each side as it may be off.
    pub fn widened_by_precision(&self, span: &Range<usize>) -> Range<usize> {
        match self.recording.precision {
            Precision::Exact => span.clone(),
            Precision::Grid10Ms | Precision::Unlabelled => widened(span, self.samples(GRID_PRECISION_MS)),
        }
    }

    /// Level of the labelled vowels around an event, LUFS; none where the recording has none.
    pub fn voice_lufs(&self, event: &Range<usize>) -> Option<f32> {
        let near = widened(event, self.samples(VOICE_REACH_MS));
        self.vowels_lufs(&near)
            .or_else(|| self.vowels_lufs(&(0..self.recording.audio.len())))
    }

    fn vowels_lufs(&self, around: &Range<usize>) -> Option<f32> {
        let vowels = self.recording.vowels();
        let power = self.levels.voice.power_within(vowels, around);
        power.map(lufs_from_power)
    }

    /// Whether at least half of the sibilance energy of a label lies in hops of class Sibilant.
    pub fn is_recalled(&self, label: &Range<usize>) -> bool {
        let span = self.widened_by_precision(label);
        let hops = self.hearing.touching(&span);
        let heard = hops.iter().filter(|report| report.class == Class::Sibilant);
        let heard: f64 = heard.map(|report| self.sibilance_of_hop(report, &span)).sum();
        heard > 0.0 && heard >= RECALLED_SHARE * self.levels.band.energy(&span)
    }

    /// Reduction in a label, dB, not negative, weighted by sibilance energy.
    pub fn mean_reduction_db(&self, label: &Range<usize>) -> f32 {
        let (sum, weight) = self
            .hearing
            .touching(label)
            .iter()
            .fold((0.0, 0.0), |(sum, weight), report| {
                let energy = self.sibilance_of_hop(report, label);
                let reduction_db = -f64::from(report.sibilance_gain_db);
                (sum + energy * reduction_db, weight + energy)
            });
        if weight > 0.0 { (sum / weight) as f32 } else { 0.0 }
    }

    /// Sibilance energy of what a hop has in common with a span.
    fn sibilance_of_hop(&self, report: &HopReport, span: &Range<usize>) -> f64 {
        self.levels
            .band
            .energy(&common(&self.hearing.stretch(report), span))
    }
}

/// Greatest reduction of some hops, dB, not negative.
pub fn greatest_reduction_db(hops: &[HopReport]) -> f32 {
    hops.iter()
        .fold(0.0, |most, report| most.max(-report.sibilance_gain_db))
}

/// How many of the hops are of a class, 0 to 1; 0 where there are none.
pub fn share_of(class: Class, hops: &[HopReport]) -> f32 {
    let hits = hops.iter().filter(|report| report.class == class).count();
    hits as f32 / hops.len().max(1) as f32
}

/// `time_ms` in samples.
pub fn samples(time_ms: f64, sample_rate_hz: f64) -> usize {
    (time_ms * 1e-3 * sample_rate_hz).round() as usize
}

/// Longer by `margin` samples on each side.
pub fn widened(span: &Range<usize>, margin: usize) -> Range<usize> {
    span.start.saturating_sub(margin)..span.end + margin
}

/// Shorter by `margin` samples on each side; empty where nothing is left.
pub fn narrowed(span: &Range<usize>, margin: usize) -> Range<usize> {
    let start = span.start + margin;
    start..span.end.saturating_sub(margin).max(start)
}

/// The sample in the middle.
pub fn middle(span: &Range<usize>) -> usize {
    span.start.midpoint(span.end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::signals::sine;

    #[test]
    fn a_loud_low_tone_leaves_no_sibilance() {
        for rate_hz in [16_000.0, 22_050.0, 44_100.0, 48_000.0] {
            let tone = sine(997.0, rate_hz, rate_hz as usize);
            let middle = tone.len() / 4..tone.len() * 3 / 4;
            let levels = SibilanceMeter::new(&tone, rate_hz, SIBILANCE_FROM_HZ);
            let all_lufs = levels.voice.lufs(&middle);
            assert!((all_lufs + 3.01).abs() < 0.06, "{rate_hz} Hz: {all_lufs} LUFS");
            let sibilance_lufs = levels.band.lufs(&middle);
            assert!(sibilance_lufs < -90.0, "{rate_hz} Hz: {sibilance_lufs} LUFS");
        }
    }

    #[test]
    fn what_is_short_vanishes() {
        assert_eq!(widened(&(5..10), 7), 0..17);
        assert_eq!(narrowed(&(0..30), 10), 10..20);
        assert!(narrowed(&(0..15), 10).is_empty());
        assert_eq!(middle(&(10..20)), 15);
        assert_eq!(samples(10.0, 48_000.0), 480);
    }
}
