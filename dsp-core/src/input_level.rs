//! The level of the input over short windows: plain for the leveller, K-weighted for the voice follower.

use crate::k_weighting::{KFilter, KWeighting};
use crate::timing::{HOPS_PER_WINDOW, STEPS_PER_HOP};

/// Steps that the leveller's detector averages: the window of analysis, so that its class speaks of the same sound.
const STEPS_PER_WINDOW: usize = STEPS_PER_HOP * HOPS_PER_WINDOW;
/// Hops that one reading of the voice averages: 10.7 ms, a whole period of the lowest voice.
const HOPS_PER_READING: usize = 8;
/// How far the centre of a reading lags the centre of a window of analysis.
pub(crate) const READING_LAG_HOPS: usize = (HOPS_PER_READING - HOPS_PER_WINDOW) / 2;

/// Running mean squares of one voice, summed over its channels.
pub(crate) struct InputLevel {
    weighting: KWeighting,
    filters: Vec<KFilter>,
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
            weighting,
            filters: vec![KFilter::default(); channels],
            plain: MovingMean::default(),
            weighted: MovingMean::default(),
            plain_sum: 0.0,
            plain_samples: 0,
            weighted_sum: 0.0,
            weighted_samples: 0,
        }
    }

    pub fn reset(&mut self) {
        self.filters.iter_mut().for_each(KFilter::reset);
        self.plain = MovingMean::default();
        self.weighted = MovingMean::default();
        (self.plain_sum, self.weighted_sum) = (0.0, 0.0);
        (self.plain_samples, self.weighted_samples) = (0, 0);
    }

    /// Takes samples that end within the current step or at its end.
    pub fn push(&mut self, audio: &[&[f32]]) {
        for (filter, channel) in self.filters.iter_mut().zip(audio) {
            for &sample in channel.iter() {
                let sample = f64::from(sample);
                self.plain_sum += sample * sample;
                self.weighted_sum += filter.process(&self.weighting, sample).powi(2);
            }
        }
        let samples = audio.first().map_or(0, |channel| channel.len());
        self.plain_samples += samples;
        self.weighted_samples += samples;
    }

    /// Closes a step; returns the mean square of the last window, the mean of the channels.
    pub fn end_step(&mut self) -> f64 {
        // Not always a whole step: the grid may have been laid anew.
        let samples = (self.plain_samples * self.filters.len()).max(1);
        self.plain.push(self.plain_sum / samples as f64);
        (self.plain_sum, self.plain_samples) = (0.0, 0);
        self.plain.mean()
    }

    /// Closes a hop; returns the K-weighted mean square of the last reading, the sum of the channels.
    pub fn end_hop(&mut self) -> f64 {
        self.weighted
            .push(self.weighted_sum / self.weighted_samples.max(1) as f64);
        (self.weighted_sum, self.weighted_samples) = (0.0, 0);
        self.filters.iter_mut().for_each(KFilter::flush_denormals);
        self.weighted.mean()
    }
}

/// The mean of the last `N` values. Summed afresh each time: a running sum would carry rounding from loud passages
/// into quiet ones.
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
        self.values.iter().sum::<f64>() / N as f64
    }
}
