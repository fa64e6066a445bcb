//! Levels of a recording, measured apart from the engine.

use std::ops::Range;

use super::span::common;
use crate::measure::{above, k_weighted, lufs_from_power};

/// Lower edge of the band of sibilance, Hz: the default of `Detect from`.
const SIBILANCE_FROM_HZ: f64 = 4000.0;

/// Energies of any stretch of one signal, summed once.
#[derive(Debug, Clone)]
pub struct Energies {
    /// Sum of squares before each sample, and of all.
    sums: Vec<f64>,
}

impl Energies {
    /// K-weighted energies of a whole recording, and of what of it lies above 4 kHz.
    pub fn of_all_and_sibilance(audio: &[f32], sample_rate_hz: f64) -> (Self, Self) {
        let weighted = k_weighted(audio, sample_rate_hz);
        let sibilance = above(&weighted, sample_rate_hz, SIBILANCE_FROM_HZ);
        (Self::new(&weighted), Self::new(&sibilance))
    }

    fn new(audio: &[f32]) -> Self {
        let squares = audio.iter().map(|&sample| f64::from(sample).powi(2));
        let sums = squares.scan(0.0, |sum, square| {
            *sum += square;
            Some(*sum)
        });
        Self {
            sums: std::iter::once(0.0).chain(sums).collect(),
        }
    }

    /// Sum of squares over a stretch; beyond the recording there is nothing.
    pub fn energy(&self, span: &Range<usize>) -> f64 {
        let span = common(span, &(0..self.sums.len() - 1));
        if span.is_empty() {
            return 0.0;
        }
        self.sums[span.end] - self.sums[span.start]
    }

    /// Mean square over a stretch; 0 over an empty one.
    pub fn power(&self, span: &Range<usize>) -> f64 {
        self.energy(span) / span.len().max(1) as f64
    }

    /// Level of a stretch, LUFS.
    pub fn lufs(&self, span: &Range<usize>) -> f32 {
        lufs_from_power(self.power(span))
    }
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
            let (all, sibilance) = Energies::of_all_and_sibilance(&tone, rate_hz);
            let all_lufs = all.lufs(&middle);
            assert!((all_lufs + 3.01).abs() < 0.06, "{rate_hz} Hz: {all_lufs} LUFS");
            let sibilance_lufs = sibilance.lufs(&middle);
            assert!(sibilance_lufs < -90.0, "{rate_hz} Hz: {sibilance_lufs} LUFS");
        }
    }

    #[test]
    fn stretches_add_up_and_end_with_the_recording() {
        let energies = Energies::new(&[1.0, 2.0, 3.0]);
        assert_eq!(energies.energy(&(0..2)), 5.0);
        assert_eq!(energies.energy(&(1..9)), 13.0);
        assert_eq!(energies.energy(&(7..9)), 0.0);
        assert_eq!(energies.power(&(1..3)), 6.5);
        assert_eq!(energies.power(&(1..1)), 0.0);
    }
}
