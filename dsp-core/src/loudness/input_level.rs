//! The level of the input over short windows: plain for the leveller, K-weighted for the voice follower.

use wide::f32x4;

use crate::clock::timing::{HOPS_PER_WINDOW, STEPS_PER_HOP, Timing};
use crate::loudness::k_filter::KFilter;
use crate::loudness::k_weighting::KWeighting;

/// Steps that the leveller's level averages: the analysis window, so that level and class describe the same samples.
const STEPS_PER_WINDOW: usize = STEPS_PER_HOP * HOPS_PER_WINDOW;
/// Hops that a reading of the voice averages: 10.7 ms, a whole period of the lowest voice.
const HOPS_PER_READING: usize = 8;
/// Hops by which the centre of a reading lags the centre of the analysis window.
pub(crate) const READING_LAG_HOPS: usize = (HOPS_PER_READING - HOPS_PER_WINDOW) / 2;

/// Running mean squares of one voice.
pub(crate) struct InputLevel {
    filter: KFilter,
    plain: MovingMean<STEPS_PER_WINDOW>,
    weighted: MovingMean<HOPS_PER_READING>,
    per_sample: f64,
    per_hop_sample: f64,
}

impl InputLevel {
    pub fn new(channels: usize, timing: Timing, weighting: &KWeighting) -> Self {
        Self {
            filter: KFilter::new(timing, weighting),
            plain: MovingMean::default(),
            weighted: MovingMean::default(),
            per_sample: 1.0 / (channels * timing.step_samples) as f64,
            per_hop_sample: 1.0 / timing.hop_samples as f64,
        }
    }

    pub fn reset(&mut self) {
        self.filter.reset();
        self.plain = MovingMean::default();
        self.weighted = MovingMean::default();
    }

    /// Takes the samples of a step, one slice per channel.
    pub fn end_step<'a>(&mut self, step: impl Iterator<Item = &'a [f32]>) {
        let energy: f32 = step.map(sum_of_squares).sum();
        self.plain.push(f64::from(energy) * self.per_sample);
    }

    /// Mean square over the last window, averaged over channels.
    pub fn window_power(&self) -> f64 {
        self.plain.mean()
    }

    /// Takes the samples of a hop, one slice per channel that ends with it and begins before it; returns the K-weighted mean
    /// square of the last reading, summed over channels.
    #[inline(always)]
    pub fn end_hop<'a>(&mut self, hop: impl Iterator<Item = &'a [f32]>) -> f64 {
        self.weighted.push(self.filter.energy(hop) * self.per_hop_sample);
        self.weighted.mean()
    }
}

/// The sum of squares of samples, a multiple of four.
fn sum_of_squares(samples: &[f32]) -> f32 {
    let fours = samples.as_chunks().0.iter().map(|&four| f32x4::new(four));
    fours
        .fold(f32x4::ZERO, |sum, four| sum + four * four)
        .reduce_add()
}

/// The mean of the last `N` values. Summed anew each time: a running sum would carry rounding errors of loud passages into
/// quiet ones.
#[derive(Debug, Clone, Copy)]
struct MovingMean<const N: usize> {
    values: [f64; N],
    next: usize,
}

impl<const N: usize> Default for MovingMean<N> {
    fn default() -> Self {
        Self {
            values: [0.0; N],
            next: 0,
        }
    }
}

impl<const N: usize> MovingMean<N> {
    fn push(&mut self, value: f64) {
        self.values[self.next] = value;
        self.next = (self.next + 1) % N;
    }

    fn mean(&self) -> f64 {
        let (fours, rest) = self.values.as_chunks::<4>();
        let add = |sums: [f64; 4], four: &[f64; 4]| std::array::from_fn(|lane| sums[lane] + four[lane]);
        let sums = fours.iter().fold([0.0; 4], add);
        sums.iter().chain(rest).sum::<f64>() / N as f64
    }
}
