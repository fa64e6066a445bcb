//! The mouth and throat: resonances in cascade.

use std::f64::consts::{FRAC_1_SQRT_2, PI, TAU};

use super::phonemes::Formants;
use crate::measurement::models::Biquad;

/// How many resonances the tube has; beyond them nothing is heard of a voice.
const RESONANCES: usize = 9;
/// Where the fourth lies and how far apart the upper ones are, Hz: a tube of 15 cm, a woman's (common practice).
const FOURTH_HZ: f64 = 4150.0;
const SPACING_HZ: f64 = 1150.0;
/// Widths of the first three, Hz: common practice, no source.
const WIDTHS_HZ: Formants = [80.0, 110.0, 170.0];
/// Width of the upper ones as a share of their frequency: they lose more.
const UPPER_WIDTH: f64 = 0.09;
/// The mouth is set anew this often, s: faster than it can move.
const CONTROL_S: f64 = 0.001;

/// A vocal tract.
pub struct Tract {
    sample_rate_hz: f64,
    control_samples: usize,
    until_control: usize,
    resonators: [Resonator; RESONANCES],
    muffled: [f64; 2],
}

impl Tract {
    /// At rest.
    pub fn new(sample_rate_hz: f64) -> Self {
        let upper = |index: usize| FOURTH_HZ + SPACING_HZ * (index as f64 - 3.0);
        Self {
            sample_rate_hz,
            control_samples: (CONTROL_S * sample_rate_hz) as usize,
            until_control: 0,
            resonators: std::array::from_fn(|index| {
                Resonator::new(upper(index), UPPER_WIDTH * upper(index), sample_rate_hz)
            }),
            muffled: [0.0; 2],
        }
    }

    /// One sample through the mouth; `formants_hz` is asked only when the mouth is set anew.
    ///
    /// `muffle_hz`: above it a closed mouth takes 12 dB an octave.
    pub fn process(&mut self, input: f64, muffle_hz: f64, formants_hz: impl FnOnce() -> Formants) -> f64 {
        if self.until_control == 0 {
            self.until_control = self.control_samples;
            for ((resonator, hz), width_hz) in self.resonators.iter_mut().zip(formants_hz()).zip(WIDTHS_HZ) {
                resonator.tune(hz, width_hz, self.sample_rate_hz);
            }
        }
        self.until_control -= 1;
        let voiced = self
            .resonators
            .iter_mut()
            .fold(input, |sample, resonator| resonator.process(sample));
        let share = 1.0 - (-TAU * muffle_hz / self.sample_rate_hz).exp();
        self.muffled[0] += share * (voiced - self.muffled[0]);
        self.muffled[1] += share * (self.muffled[0] - self.muffled[1]);
        self.muffled[1]
    }
}

/// What a vowel holds above 4 kHz: the cavities beside the tube, which the cascade leaves out, keep it alive there.
pub struct Top {
    filters: [Biquad; 3],
}

impl Top {
    /// At rest.
    pub fn new(sample_rate_hz: f64) -> Self {
        // Above 9 kHz a voice fades quickly: common practice, no source.
        Self {
            filters: [
                Biquad::high_pass(4300.0, 0.5412, sample_rate_hz),
                Biquad::high_pass(4300.0, 1.3066, sample_rate_hz),
                Biquad::low_pass(9000.0, FRAC_1_SQRT_2, sample_rate_hz),
            ],
        }
    }

    /// One sample through it.
    pub fn process(&mut self, input: f64) -> f64 {
        self.filters
            .iter_mut()
            .fold(input, |sample, filter| filter.process(sample))
    }
}

/// Klatt's digital resonator (1980): two poles, gain 1 at 0 Hz.
#[derive(Default)]
struct Resonator {
    gain: f64,
    feedback: [f64; 2],
    state: [f64; 2],
}

impl Resonator {
    fn new(hz: f64, width_hz: f64, sample_rate_hz: f64) -> Self {
        let mut resonator = Self::default();
        resonator.tune(hz, width_hz, sample_rate_hz);
        resonator
    }

    fn tune(&mut self, hz: f64, width_hz: f64, sample_rate_hz: f64) {
        let radius = (-PI * width_hz / sample_rate_hz).exp();
        self.feedback = [2.0 * radius * (TAU * hz / sample_rate_hz).cos(), -radius * radius];
        self.gain = 1.0 - self.feedback[0] - self.feedback[1];
    }

    fn process(&mut self, input: f64) -> f64 {
        let output = self.gain * input + self.feedback[0] * self.state[0] + self.feedback[1] * self.state[1];
        self.state = [output, self.state[0]];
        output
    }
}
