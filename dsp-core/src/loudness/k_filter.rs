//! Plain and K-weighted energy of a voice.

use crate::loudness::k_weighting::KWeighting;
use crate::primitives::biquad::{Biquad, LaneCoefficients};
use crate::primitives::frame::Frame;

/// Sums of squares over all channels.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Energies {
    pub plain: f64,
    pub weighted: f64,
}

/// The K-weighting filter of a mono or stereo voice.
pub(crate) enum KFilter {
    Mono(MonoKFilter),
    Stereo(StereoKFilter),
}

/// Both sections in one SIMD lane each: while the shelf filters a sample, the high-pass filters the shelf's output for the
/// sample before.
pub(crate) struct MonoKFilter {
    sections: LaneCoefficients,
    memory: Biquad,
}

/// One channel per SIMD lane, one section after the other.
pub(crate) struct StereoKFilter {
    shelf: LaneCoefficients,
    high_pass: LaneCoefficients,
    shelf_memory: Biquad,
    high_pass_memory: Biquad,
}

impl KFilter {
    pub fn new(channels: usize, weighting: KWeighting) -> Self {
        let KWeighting { shelf, high_pass } = weighting;
        if channels == 1 {
            Self::Mono(MonoKFilter {
                sections: LaneCoefficients::new([&shelf, &high_pass]),
                memory: Biquad::default(),
            })
        } else {
            Self::Stereo(StereoKFilter {
                shelf: LaneCoefficients::new([&shelf, &shelf]),
                high_pass: LaneCoefficients::new([&high_pass, &high_pass]),
                shelf_memory: Biquad::default(),
                high_pass_memory: Biquad::default(),
            })
        }
    }

    pub fn reset(&mut self) {
        match self {
            Self::Mono(mono) => mono.memory = Biquad::default(),
            Self::Stereo(stereo) => {
                (stereo.shelf_memory, stereo.high_pass_memory) = (Biquad::default(), Biquad::default());
            }
        }
    }

    /// Sets negligible state to zero.
    pub fn flush_denormals(&mut self) {
        match self {
            Self::Mono(mono) => mono.memory.flush_denormals(),
            Self::Stereo(stereo) => {
                stereo.shelf_memory.flush_denormals();
                stereo.high_pass_memory.flush_denormals();
            }
        }
    }

    /// Filters samples, one slice per channel; returns their energies.
    pub fn energies(&mut self, audio: &[&mut [f32]]) -> Energies {
        match (self, audio) {
            (Self::Mono(mono), [samples]) => mono.energies(samples),
            (Self::Stereo(stereo), [left, right]) => stereo.energies(left, right),
            _ => Energies::default(),
        }
    }
}

impl MonoKFilter {
    fn energies(&mut self, samples: &[f32]) -> Energies {
        let Some((&first, others)) = samples.split_first() else {
            return Energies::default();
        };
        let (sections, mut memory) = (self.sections, self.memory);
        let mut sample = f64::from(first);
        let (mut plain, mut weighted) = (sample * sample, 0.0);
        // The high-pass lags by one sample: it has nothing to filter yet.
        let mut output = memory.process(&sections, Frame::new([sample, 0.0]));
        memory = memory.with_lane_of(&self.memory, 1);
        for &other in others {
            sample = f64::from(other);
            output = memory.process(&sections, Frame::new([sample, output.to_array()[0]]));
            plain += sample * sample;
            weighted += output.to_array()[1].powi(2);
        }
        // The high-pass filters the last sample; the shelf keeps its state.
        let before = memory;
        output = memory.process(&sections, Frame::new([0.0, output.to_array()[0]]));
        self.memory = memory.with_lane_of(&before, 0);
        weighted += output.to_array()[1].powi(2);
        Energies { plain, weighted }
    }
}

impl StereoKFilter {
    fn energies(&mut self, left: &[f32], right: &[f32]) -> Energies {
        let (shelf, high_pass) = (self.shelf, self.high_pass);
        let (mut shelf_memory, mut high_pass_memory) = (self.shelf_memory, self.high_pass_memory);
        let (mut plain, mut weighted) = (Frame::ZERO, Frame::ZERO);
        for (&left, &right) in left.iter().zip(right) {
            let frame = Frame::new([f64::from(left), f64::from(right)]);
            let output = high_pass_memory.process(&high_pass, shelf_memory.process(&shelf, frame));
            plain += frame * frame;
            weighted += output * output;
        }
        (self.shelf_memory, self.high_pass_memory) = (shelf_memory, high_pass_memory);
        Energies {
            plain: plain.reduce_add(),
            weighted: weighted.reduce_add(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_signals::white_noise;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn mono_equals_stereo_with_one_silent_channel_in_any_blocks(
            blocks in prop::collection::vec(0usize..40, 1..20), seed in 1u32..1000,
        ) {
            let weighting = KWeighting::new(48_000.0);
            let (mut mono, mut stereo) = (KFilter::new(1, weighting), KFilter::new(2, weighting));
            for (index, length) in blocks.into_iter().enumerate() {
                let (mut voice, mut silence) = (white_noise(length, seed + index as u32), vec![0.0; length]);
                let alone = mono.energies(&[&mut voice]);
                let beside = stereo.energies(&[&mut silence, &mut voice]);
                prop_assert!((alone.plain - beside.plain).abs() <= 1e-12 * alone.plain);
                prop_assert!((alone.weighted - beside.weighted).abs() <= 1e-12 * alone.weighted);
            }
        }
    }
}
