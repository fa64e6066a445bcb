//! The Fourier transform of a window: one for each hop, whether the voice is mono or stereo.

use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};
use rustfft::{Fft, FftPlanner};

/// The transform of a window of one channel, or of two at once.
pub(crate) enum WindowTransform {
    Mono(MonoTransform),
    Stereo(StereoTransform),
}

/// A real transform.
pub(crate) struct MonoTransform {
    fft: Arc<dyn RealToComplex<f32>>,
    window: Vec<f32>,
    bins: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
}

/// One complex transform of `left + i right`. What two real ones would give lies in it (Cooley, Lewis & Welch 1970, from
/// memory): with bin `k` and its mirror image `z` and `w`, `2 (|left|^2 + |right|^2) = |z|^2 + |w|^2`.
pub(crate) struct StereoTransform {
    fft: Arc<dyn Fft<f32>>,
    bins: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
}

impl WindowTransform {
    /// For windows of `size` samples (even) of one channel or of two.
    pub fn new(channels: usize, size: usize) -> Self {
        if channels == 1 {
            let fft = RealFftPlanner::<f32>::new().plan_fft_forward(size);
            Self::Mono(MonoTransform {
                window: fft.make_input_vec(),
                bins: fft.make_output_vec(),
                scratch: fft.make_scratch_vec(),
                fft,
            })
        } else {
            let fft = FftPlanner::<f32>::new().plan_fft_forward(size);
            Self::Stereo(StereoTransform {
                bins: vec![Complex::default(); size],
                scratch: vec![Complex::default(); fft.get_inplace_scratch_len()],
                fft,
            })
        }
    }

    /// The power of each bin from 0 to Nyquist, summed over channels and weighted, of samples that fade in and out with
    /// `shape`. As many histories as channels, each as long as the window.
    pub fn powers(&mut self, histories: &[Vec<f32>], shape: &[f32], weights: &[f32], powers: &mut [f32]) {
        match (self, histories) {
            (Self::Mono(mono), [history]) => mono.powers(history, shape, weights, powers),
            (Self::Stereo(stereo), [left, right]) => stereo.powers((left, right), shape, weights, powers),
            _ => powers.fill(0.0),
        }
    }
}

impl MonoTransform {
    fn powers(&mut self, history: &[f32], shape: &[f32], weights: &[f32], powers: &mut [f32]) {
        for ((windowed, &sample), &shape) in self.window.iter_mut().zip(history).zip(shape) {
            *windowed = sample * shape;
        }
        // Cannot fail: every buffer was made by this very plan.
        let done = self
            .fft
            .process_with_scratch(&mut self.window, &mut self.bins, &mut self.scratch);
        debug_assert!(done.is_ok());
        for ((power, bin), &weight) in powers.iter_mut().zip(&self.bins).zip(weights) {
            *power = bin.norm_sqr() * weight;
        }
    }
}

impl StereoTransform {
    fn powers(
        &mut self,
        (left, right): (&[f32], &[f32]),
        shape: &[f32],
        weights: &[f32],
        powers: &mut [f32],
    ) {
        for (((bin, &left), &right), &shape) in self.bins.iter_mut().zip(left).zip(right).zip(shape) {
            *bin = Complex::new(left * shape, right * shape);
        }
        self.fft.process_with_scratch(&mut self.bins, &mut self.scratch);
        let images = self.bins.iter().rev();
        let [first, rest @ ..] = powers else { return };
        *first = self.bins[0].norm_sqr() * weights[0];
        for (((power, bin), image), &weight) in rest
            .iter_mut()
            .zip(&self.bins[1..])
            .zip(images)
            .zip(&weights[1..])
        {
            *power = 0.5 * (bin.norm_sqr() + image.norm_sqr()) * weight;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn powers(histories: &[Vec<f32>], weights: &[f32]) -> Vec<f32> {
        let size = histories[0].len();
        let shape: Vec<f32> = (0..size)
            .map(|n| {
                (std::f32::consts::PI * (n as f32 + 0.5) / size as f32)
                    .sin()
                    .powi(2)
            })
            .collect();
        let mut powers = vec![0.0; size / 2 + 1];
        WindowTransform::new(histories.len(), size).powers(histories, &shape, weights, &mut powers);
        powers
    }

    proptest! {
        #[test]
        fn two_channels_in_one_transform_are_the_sum_of_two(
            octaves in 7u32..11, left_gain in 0f32..1.0, right_gain in 0f32..1.0, seed in 1u32..1000,
        ) {
            let size = 1 << octaves;
            let mut state = seed;
            let mut noise = |gain: f32| -> Vec<f32> {
                (0..size)
                    .map(|_| {
                        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                        gain * ((state >> 8) as f32 / 8_388_608.0 - 1.0)
                    })
                    .collect()
            };
            let (left, right) = (noise(left_gain), noise(right_gain));
            let weights: Vec<f32> = (0..=size / 2).map(|bin| 1.0 / (bin + 1) as f32).collect();
            let both = powers(&[left.clone(), right.clone()], &weights);
            let (left, right) = (powers(&[left], &weights), powers(&[right], &weights));
            let loudest = both.iter().fold(0f32, |loudest, &power| loudest.max(power));
            for ((both, left), right) in both.iter().zip(&left).zip(&right) {
                prop_assert!((both - left - right).abs() <= 1e-5 * (left + right) + 1e-12 * loudest, "{both} {left} {right}");
            }
        }
    }
}
