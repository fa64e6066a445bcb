//! The level of the input over short windows: plain for the leveller, K-weighted for the voice follower.

use crate::clock::timing::{HOPS_PER_WINDOW, STEPS_PER_HOP};
use crate::loudness::k_filter::KFilter;
use crate::loudness::k_weighting::KWeighting;

/// Steps that the leveller's level averages: the analysis window, so that level and class describe the same samples.
const STEPS_PER_WINDOW: usize = STEPS_PER_HOP * HOPS_PER_WINDOW;
/// Hops that a reading of the voice averages: 10.7 ms, a whole period of the lowest voice.
const HOPS_PER_READING: usize = 8;
/// Hops by which the centre of a reading lags the centre of the analysis window.
pub(crate) const READING_LAG_HOPS: usize = (HOPS_PER_READING - HOPS_PER_WINDOW) / 2;

/// Running mean squares of one voice, summed over its channels.
pub(crate) struct InputLevel {
    channels: usize,
    filter: KFilter,
    plain: MovingMean<STEPS_PER_WINDOW>,
    weighted: MovingMean<HOPS_PER_READING>,
    plain_sum: f64,
    plain_samples: usize,
    weighted_sum: f64,
    weighted_samples: usize,
}

impl InputLevel {
    pub fn new(channels: usize, weighting: KWeighting) -> Self {
        Self {
            channels,
            filter: KFilter::new(channels, weighting),
            plain: MovingMean::default(),
            weighted: MovingMean::default(),
            plain_sum: 0.0,
            plain_samples: 0,
            weighted_sum: 0.0,
            weighted_samples: 0,
        }
    }

    pub fn reset(&mut self) {
        self.filter.reset();
        self.plain = MovingMean::default();
        self.weighted = MovingMean::default();
        (self.plain_sum, self.weighted_sum) = (0.0, 0.0);
        (self.plain_samples, self.weighted_samples) = (0, 0);
    }

    /// Adds samples, one slice per channel; they must not reach beyond the end of the current step.
    pub fn push(&mut self, audio: &[&mut [f32]]) {
        let energies = self.filter.energies(audio);
        self.plain_sum += energies.plain;
        self.weighted_sum += energies.weighted;
        let samples = audio.first().map_or(0, |channel| channel.len());
        self.plain_samples += samples;
        self.weighted_samples += samples;
    }

    /// Ends a step.
    pub fn end_step(&mut self) {
        // Not always a whole step: the grid may have been realigned.
        let samples = (self.plain_samples * self.channels).max(1);
        self.plain.push(self.plain_sum / samples as f64);
        (self.plain_sum, self.plain_samples) = (0.0, 0);
    }

    /// Mean square over the last window, averaged over channels.
    pub fn window_power(&self) -> f64 {
        self.plain.mean()
    }

    /// Ends a hop; returns the K-weighted mean square of the last reading, summed over channels.
    pub fn end_hop(&mut self) -> f64 {
        self.weighted
            .push(self.weighted_sum / self.weighted_samples.max(1) as f64);
        (self.weighted_sum, self.weighted_samples) = (0.0, 0);
        self.filter.flush_denormals();
        self.weighted.mean()
    }
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
