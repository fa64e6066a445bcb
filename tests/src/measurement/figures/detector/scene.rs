//! All that is needed to judge: a recording, what was heard of it, and its levels.

use std::ops::Range;

use siskin_dsp::{Class, HopReport};

use super::listen::Hearing;
use super::span::{common, samples, widened};
use crate::measurement::levels::{Energies, above, k_weighted, lufs_from_power};
use crate::measurement::voices::corpus::{Precision, Recording, Sound};

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
    pub all: Energies,
    pub sibilance: Energies,
}

impl<'a> Scene<'a> {
    pub fn new(recording: &'a Recording, hearing: &'a Hearing) -> Self {
        let (all, sibilance) = energies(&recording.audio, recording.sample_rate_hz);
        Self {
            recording,
            hearing,
            all,
            sibilance,
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
        let (energy, length) = self
            .recording
            .of(Sound::Vowel)
            .map(|vowel| common(&vowel.span, around))
            .fold((0.0, 0), |(energy, length), span| {
                (energy + self.all.energy(&span), length + span.len())
            });
        (length > 0).then(|| lufs_from_power(energy / length as f64))
    }

    /// Whether at least half of the sibilance energy of a label lies in hops of class Sibilant.
    pub fn is_recalled(&self, label: &Range<usize>) -> bool {
        let span = self.widened_by_precision(label);
        let hops = self.hearing.touching(&span);
        let heard = hops.iter().filter(|report| report.class == Class::Sibilant);
        let heard: f64 = heard.map(|report| self.sibilance_of_hop(report, &span)).sum();
        heard > 0.0 && heard >= RECALLED_SHARE * self.sibilance.energy(&span)
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
        self.sibilance
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

/// K-weighted energies of a whole recording, and of what of it lies above 4 kHz: measured apart from the engine.
fn energies(audio: &[f32], sample_rate_hz: f64) -> (Energies, Energies) {
    let weighted = k_weighted(audio, sample_rate_hz);
    let sibilance = above(&weighted, sample_rate_hz, SIBILANCE_FROM_HZ);
    (Energies::new(&weighted), Energies::new(&sibilance))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;

    #[test]
    fn a_loud_low_tone_leaves_no_sibilance() {
        for rate_hz in [16_000.0, 22_050.0, 44_100.0, 48_000.0] {
            let tone: Vec<f32> = (0..rate_hz as usize)
                .map(|n| (TAU * 997.0 * n as f64 / rate_hz).sin() as f32)
                .collect();
            let middle = tone.len() / 4..tone.len() * 3 / 4;
            let (all, sibilance) = energies(&tone, rate_hz);
            let all_lufs = all.lufs(&middle);
            assert!((all_lufs + 3.01).abs() < 0.06, "{rate_hz} Hz: {all_lufs} LUFS");
            let sibilance_lufs = sibilance.lufs(&middle);
            assert!(sibilance_lufs < -90.0, "{rate_hz} Hz: {sibilance_lufs} LUFS");
        }
    }
}
