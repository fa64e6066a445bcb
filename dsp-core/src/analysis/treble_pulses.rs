//! The pulses of the treble: distinguishes a bright vowel from a sibilant.
//!
//! Each period of a voice excites the treble of a vowel anew, so the envelope of the treble repeats itself with the period.
//! The treble of a sibilant is noise: its envelope does not, or in a z only in part.

use wide::f32x4;

use super::periodicity::{FRESH, LONGEST_LAG};
use crate::clock::timing::Timing;

/// SIMD width.
const LANES: usize = 4;
/// Decimated samples that are compared: 12 ms, a period of a low voice. Noise of this length reads within 0.15 of 0.
const COMPARED: usize = 72;
/// Decimated samples that a comparison needs.
const KEPT: usize = COMPARED + LONGEST_LAG + 1;
/// Hop lengths per sample of distance: at 48 kHz the difference below peaks at 12 kHz and leaves 1 kHz 35 dB weaker.
const HOPS_PER_DISTANCE: usize = 32;
/// Variance of the envelope over the square of its mean below which there are no pulses: noise has some 0.25, a whistle less than
/// 0.05, and what that has left repeats itself.
const MIN_DEPTH: f32 = 0.1;

/// The envelope of the treble, oldest first, at the rate of the periodicity.
pub(crate) struct TreblePulses {
    distance: usize,
    decimation: usize,
    envelope: [f32; KEPT],
}

impl TreblePulses {
    pub fn new(timing: Timing) -> Self {
        Self {
            distance: (timing.hop_samples / HOPS_PER_DISTANCE).max(1),
            decimation: timing.hop_samples / FRESH,
            envelope: [0.0; KEPT],
        }
    }

    pub fn reset(&mut self) {
        self.envelope.fill(0.0);
    }

    /// Samples before a hop that [`TreblePulses::update`] needs.
    pub fn before_samples(&self) -> usize {
        2 * self.distance
    }

    /// Takes the samples of a hop after those before it, one slice per channel. The treble is a second difference.
    pub fn update<'a>(&mut self, hop: impl Iterator<Item = &'a [f32]>) {
        let mut energies = [0.0; FRESH];
        for samples in hop {
            let (middle, newest) = (&samples[self.distance..], &samples[2 * self.distance..]);
            // Known lengths, so that each sum is unrolled: a hop has 16 to 512 samples, a power of two.
            let add = match self.decimation {
                2 => add_energies::<2>,
                4 => add_energies::<4>,
                8 => add_energies::<8>,
                16 => add_energies::<16>,
                32 => add_energies::<32>,
                _ => add_energies::<64>,
            };
            add(&mut energies, samples, middle, newest);
        }
        self.envelope.copy_within(FRESH.., 0);
        self.envelope[KEPT - FRESH..].copy_from_slice(&energies);
    }

    /// How similar the envelope is to itself `lag` decimated samples before (at most [`LONGEST_LAG`]), -1 ... 1. The lag
    /// is known to a sample, so its neighbours are tried as well.
    pub fn similarity(&self, lag: usize) -> f32 {
        let newest = &self.envelope[KEPT - COMPARED..];
        let before = |lag: usize| &self.envelope[KEPT - COMPARED - lag..KEPT - lag];
        (lag - 1..=lag + 1)
            .map(|lag| correlation(newest, before(lag)))
            .fold(-1.0, f32::max)
    }
}

/// Adds the energies of the second difference of a hop, `N` samples each.
fn add_energies<const N: usize>(energies: &mut [f32; FRESH], oldest: &[f32], middle: &[f32], newest: &[f32]) {
    let (oldest, middle, newest) = (oldest.as_chunks().0, middle.as_chunks().0, newest.as_chunks().0);
    for (((energy, oldest), middle), newest) in energies.iter_mut().zip(oldest).zip(middle).zip(newest) {
        *energy += treble_energy::<N>(oldest, middle, newest);
    }
}

/// The energy of the second difference of three stretches of one length.
fn treble_energy<const N: usize>(oldest: &[f32; N], middle: &[f32; N], newest: &[f32; N]) -> f32 {
    let (oldest, oldest_rest) = oldest.as_chunks::<LANES>();
    let (middle, middle_rest) = middle.as_chunks::<LANES>();
    let (newest, newest_rest) = newest.as_chunks::<LANES>();
    let mut energy = f32x4::ZERO;
    for ((oldest, middle), newest) in oldest.iter().zip(middle).zip(newest) {
        let middle = f32x4::from(*middle);
        let treble = f32x4::from(*oldest) - middle - middle + f32x4::from(*newest);
        energy += treble * treble;
    }
    let mut energy = energy.reduce_add();
    for ((oldest, middle), newest) in oldest_rest.iter().zip(middle_rest).zip(newest_rest) {
        let treble = oldest - 2.0 * middle + newest;
        energy += treble * treble;
    }
    energy
}

/// The correlation coefficient of two stretches of whole lanes; 0 where either has no pulses.
fn correlation(one: &[f32], other: &[f32]) -> f32 {
    let mut sums = [f32x4::ZERO; 5];
    for (one, other) in one
        .as_chunks::<LANES>()
        .0
        .iter()
        .zip(other.as_chunks::<LANES>().0)
    {
        let (one, other) = (f32x4::from(*one), f32x4::from(*other));
        sums[0] += one;
        sums[1] += other;
        sums[2] += one * other;
        sums[3] += one * one;
        sums[4] += other * other;
    }
    let [one, other, both, first, second] = sums.map(f32x4::reduce_add);
    let share = 1.0 / COMPARED as f32;
    let covariance = both - share * one * other;
    let variances = [first - share * one * one, second - share * other * other];
    let is_flat = |variance: f32, sum: f32| variance <= MIN_DEPTH * share * sum * sum;
    if is_flat(variances[0], one) || is_flat(variances[1], other) {
        return 0.0;
    }
    covariance / (variances[0] * variances[1]).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_signals::white_noise;

    const PERIOD_SAMPLES: usize = 240;

    /// 60 ms at 48 kHz.
    const SOUND_SAMPLES: usize = 2880;

    /// The similarity at the period of 200 Hz, after a sound at 48 kHz in one channel of two, the same in either.
    fn similarity(sound: impl FnMut(usize) -> f32) -> f32 {
        let sound: Vec<f32> = (0..SOUND_SAMPLES).map(sound).collect();
        let silence = vec![0.0; SOUND_SAMPLES];
        let left = similarity_of([&sound, &silence]);
        assert_eq!(similarity_of([&silence, &sound]), left);
        left
    }

    fn similarity_of(channels: [&[f32]; 2]) -> f32 {
        let timing = Timing::new(48_000.0);
        let mut pulses = TreblePulses::new(timing);
        for end in (2 * timing.hop_samples..SOUND_SAMPLES).step_by(timing.hop_samples) {
            let start = end - timing.hop_samples - pulses.before_samples();
            pulses.update(channels.iter().map(|channel| &channel[start..end]));
        }
        pulses.similarity(PERIOD_SAMPLES * FRESH / timing.hop_samples)
    }

    #[test]
    fn pulses_are_similar_a_period_before_and_noise_is_not() {
        let pulses = similarity(|n| (-0.1 * (n % PERIOD_SAMPLES) as f32).exp());
        assert!(pulses > 0.9, "{pulses}");
        let noise = white_noise(SOUND_SAMPLES, 1);
        let hiss = similarity(|n| noise[n]);
        assert!(hiss.abs() < 0.4, "{hiss}");
        let voiced_hiss = similarity(|n| {
            let turns = n as f32 / PERIOD_SAMPLES as f32;
            noise[n] * (1.0 + 0.5 * (std::f32::consts::TAU * turns).cos())
        });
        assert!((-0.2..0.7).contains(&voiced_hiss), "{voiced_hiss}");
    }

    #[test]
    fn neither_silence_nor_a_whistle_is_similar() {
        assert_eq!(similarity(|_| 0.0), 0.0);
        assert_eq!(similarity(|n| (0.9 * n as f32).sin()), 0.0);
    }
}
