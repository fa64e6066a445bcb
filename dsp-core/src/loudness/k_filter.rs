//! K-weighted energy of a voice, hop by hop.
//!
//! The shelf filters every sample, four at a time. The high-pass lies at 38 Hz: what it takes away hardly changes within a
//! control step, so it is found once a step from the mean of the shelf's output, and the step's energy is that around it.

use crate::clock::timing::{STEPS_PER_HOP, Timing};
use crate::loudness::block_section::{BlockSection, OLDER_SAMPLES};
use crate::loudness::k_weighting::KWeighting;
use crate::primitives::biquad::{Biquad, LaneCoefficients};
use crate::primitives::frame::Frame;

/// The K-weighting filter of a mono or stereo voice.
pub(crate) struct KFilter {
    step_samples: usize,
    shelf: BlockSection,
    /// Of each channel.
    shelf_memories: [[wide::f32x4; 2]; 2],
    /// What the high-pass takes away, once a step.
    low: LaneCoefficients,
    low_memory: Biquad,
    low_output: Frame,
    high_power_gain: f64,
}

impl KFilter {
    pub fn new(timing: Timing, weighting: &KWeighting) -> Self {
        let low = weighting.below_high_pass(timing.step_samples);
        Self {
            step_samples: timing.step_samples,
            shelf: BlockSection::new(&weighting.shelf),
            shelf_memories: Default::default(),
            low: LaneCoefficients::new([&low, &low]),
            low_memory: Biquad::default(),
            low_output: Frame::ZERO,
            high_power_gain: weighting.high_pass.power_gain(std::f64::consts::PI),
        }
    }

    pub fn reset(&mut self) {
        self.shelf_memories = Default::default();
        (self.low_memory, self.low_output) = (Biquad::default(), Frame::ZERO);
    }

    /// Filters a hop; returns its energy, summed over channels. The slices, one per channel (one or two), end with the hop and
    /// begin before it.
    #[inline(always)]
    pub fn energy<'a>(&mut self, channels: impl Iterator<Item = &'a [f32]>) -> f64 {
        // Sums around the last output keep their digits where the signal has an offset.
        let centre = self.low_output.to_array().map(|low| low as f32);
        let hop_samples = STEPS_PER_HOP * self.step_samples;
        let (mut sums, mut squares) = ([[0.0; 2]; STEPS_PER_HOP], 0.0);
        for (channel, (samples, memory)) in channels.zip(&mut self.shelf_memories).enumerate() {
            let samples = &samples[samples.len() - hop_samples - OLDER_SAMPLES..];
            let of_channel = self.shelf.sums(samples, memory, centre[channel]);
            for (sums, of_step) in sums.iter_mut().zip(of_channel.of_steps) {
                sums[channel] = f64::from(of_step);
            }
            squares += f64::from(of_channel.of_squares);
        }
        let centre = Frame::new(centre.map(f64::from));
        let samples = self.step_samples as f64;
        let taken = sums.iter().fold(Frame::ZERO, |taken, &sums| {
            let mean = Frame::new(sums) * (1.0 / samples);
            self.low_output = self.low_memory.process(&self.low, mean + centre);
            let low = self.low_output - centre;
            taken + low * (mean + mean - low)
        });
        self.flush_denormals();
        self.high_power_gain * (squares - samples * taken.reduce_add()).max(0.0)
    }

    /// Sets negligible state to zero.
    fn flush_denormals(&mut self) {
        self.low_memory.flush_denormals();
        let negligible = wide::f32x4::splat(1e-25);
        for memory in self.shelf_memories.as_flattened_mut() {
            *memory &= memory.abs().simd_ge(negligible);
        }
    }
}
