//! The Fourier transform of a window, as the power of each bin: one transform per hop, mono or stereo.

use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};
use rustfft::{Fft, FftPlanner};
use wide::f32x4;

use super::mirrored_bins::{LANES, Mirrored, halves};

/// The transform of a window of one or two channels.
pub(crate) enum WindowTransform {
    Mono(MonoTransform),
    Stereo(StereoTransform),
}

/// A real transform.
pub(crate) struct MonoTransform {
    fft: Arc<dyn RealToComplex<f32>>,
    windowed: Vec<f32>,
    bins: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
}

/// One complex transform of `left + i right`, which costs less than two real ones. The power of both channels together
/// follows from a bin `z` and its mirror image `w`: `|left|^2 + |right|^2 = (|z|^2 + |w|^2) / 2`. Four bins are followed at a time.
pub(crate) struct StereoTransform {
    fft: Arc<dyn Fft<f32>>,
    /// The first bin is repeated after the last, as its own mirror image.
    bins: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
}

impl WindowTransform {
    /// For windows of `size` samples (a multiple of 16) of one or two channels.
    pub fn new(channels: usize, size: usize) -> Self {
        if channels == 1 {
            Self::Mono(MonoTransform::new(size))
        } else {
            Self::Stereo(StereoTransform::new(size))
        }
    }

    /// Computes the power of each bin from 0 Hz to Nyquist, weighted and summed over channels. `shape` is the window
    /// function; each of the `histories` (one per channel) is as long as the window.
    #[inline(always)]
    pub fn powers(&mut self, histories: &[Vec<f32>], shape: &[f32], weights: &[f32], powers: &mut [f32]) {
        match (self, histories) {
            (Self::Mono(mono), [history]) => {
                mono.transform(history, shape);
                mono.powers(weights, powers);
            }
            (Self::Stereo(stereo), [left, right]) => {
                stereo.transform(left, right, shape);
                stereo.powers(weights, powers);
            }
            _ => powers.fill(0.0),
        }
    }
}

impl MonoTransform {
    fn new(size: usize) -> Self {
        let fft = RealFftPlanner::new().plan_fft_forward(size);
        Self {
            windowed: fft.make_input_vec(),
            bins: fft.make_output_vec(),
            scratch: fft.make_scratch_vec(),
            fft,
        }
    }

    #[inline(always)]
    fn transform(&mut self, history: &[f32], shape: &[f32]) {
        for ((windowed, sample), shape) in self.windowed.iter_mut().zip(history).zip(shape) {
            *windowed = sample * shape;
        }
        let result = self
            .fft
            .process_with_scratch(&mut self.windowed, &mut self.bins, &mut self.scratch);
        debug_assert!(result.is_ok(), "the lengths are those of the plan");
    }

    #[inline(always)]
    fn powers(&self, weights: &[f32], powers: &mut [f32]) {
        for ((power, bin), weight) in powers.iter_mut().zip(&self.bins).zip(weights) {
            *power = weight * bin.norm_sqr();
        }
    }
}

impl StereoTransform {
    fn new(size: usize) -> Self {
        let fft = FftPlanner::new().plan_fft_forward(size);
        Self {
            bins: vec![Complex::default(); size + 1],
            scratch: vec![Complex::default(); fft.get_inplace_scratch_len()],
            fft,
        }
    }

    #[inline(always)]
    fn transform(&mut self, left: &[f32], right: &[f32], shape: &[f32]) {
        let (lefts, rights) = (left.as_chunks().0, right.as_chunks().0);
        let bins = self.bins.as_chunks_mut().0.iter_mut();
        for (((bins, &left), &right), &shape) in bins.zip(lefts).zip(rights).zip(shape.as_chunks().0) {
            let shape = f32x4::new(shape);
            let (left, right) = (shape * f32x4::new(left), shape * f32x4::new(right));
            let [a, b, c, d] = left.unpack_lo(right).to_array();
            let [e, f, g, h] = left.unpack_hi(right).to_array();
            *bins = [[a, b], [c, d], [e, f], [g, h]].map(|[left, right]| Complex::new(left, right));
        }
        let size = self.bins.len() - 1;
        self.fft
            .process_with_scratch(&mut self.bins[..size], &mut self.scratch);
        self.bins[size] = self.bins[0];
    }

    #[inline(always)]
    fn powers(&self, weights: &[f32], powers: &mut [f32]) {
        let middle = self.bins.len() / 2;
        powers[middle] = weights[middle] * self.bins[middle].norm_sqr();
        let groups = middle / LANES;
        let (bins, images) = halves(&self.bins, groups);
        let outputs = powers.as_chunks_mut().0[..groups].iter_mut();
        for (group, (powers, &weights)) in outputs.zip(weights.as_chunks().0).enumerate() {
            let mirrored = Mirrored::new(&bins[group], &images[groups - 1 - group]);
            *powers = (f32x4::new(weights) * 0.5 * mirrored.complex_powers()).to_array();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_signals::white_noise;
    use proptest::prelude::*;
    use std::f64::consts::TAU;

    fn noise(size: usize, gain: f32, seed: u32) -> Vec<f32> {
        white_noise(size, seed).into_iter().map(|x| gain * x).collect()
    }

    /// The powers of one channel by the definition of the discrete Fourier transform, in double precision.
    fn by_definition(history: &[f32], shape: &[f32]) -> Vec<f64> {
        let size = history.len();
        let (cosines, sines): (Vec<f64>, Vec<f64>) = (0..size)
            .map(|n| (TAU * n as f64 / size as f64).sin_cos())
            .map(|(sine, cosine)| (cosine, sine))
            .unzip();
        (0..=size / 2)
            .map(|bin| {
                let (mut real, mut imaginary) = (0.0, 0.0);
                for (n, (&sample, &shape)) in history.iter().zip(shape).enumerate() {
                    let (x, turn) = (f64::from(sample * shape), bin * n % size);
                    real += x * cosines[turn];
                    imaginary -= x * sines[turn];
                }
                real * real + imaginary * imaginary
            })
            .collect()
    }

    proptest! {
        #[test]
        fn powers_of_all_channels_match_the_definition(
            octaves in 6u32..11, left_gain in 0f32..1.0, right_gain in 0f32..1.0, seed in 1u32..1000,
        ) {
            let size = 1 << octaves;
            let shape: Vec<f32> = (0..size)
                .map(|n| (std::f32::consts::PI * (n as f32 + 0.5) / size as f32).sin().powi(2))
                .collect();
            let weights: Vec<f32> = (0..=size / 2).map(|bin| 0.5 + (bin % 3) as f32).collect();
            let (left, right) = (noise(size, left_gain, seed), noise(size, right_gain, seed + 1000));
            for histories in [vec![left.clone()], vec![left, right]] {
                let mut powers = vec![0.0; size / 2 + 1];
                WindowTransform::new(histories.len(), size).powers(&histories, &shape, &weights, &mut powers);
                let alone: Vec<Vec<f64>> = histories.iter().map(|history| by_definition(history, &shape)).collect();
                let wanted: Vec<f64> = (0..=size / 2)
                    .map(|bin| f64::from(weights[bin]) * alone.iter().map(|powers| powers[bin]).sum::<f64>())
                    .collect();
                let loudest = wanted.iter().copied().fold(0.0, f64::max);
                for (bin, (&power, wanted)) in powers.iter().zip(&wanted).enumerate() {
                    // Single precision: each bin is off by a millionth of the loudest, as an amplitude.
                    let allowed = 1e-6 * (wanted * loudest).sqrt() + 1e-12 * loudest;
                    prop_assert!((f64::from(power) - wanted).abs() <= allowed, "{power} {wanted} in bin {bin}");
                }
            }
        }
    }
}
