//! The Fourier transform of a window, as the power of each bin: one complex transform per hop, mono or stereo.
//!
//! What is wanted of a bin follows from it and its mirror image. Four bins are followed at a time, and only powers are kept.

use std::sync::Arc;

use rustfft::num_complex::Complex;
use rustfft::{Fft, FftPlanner};
use wide::f32x4;

use super::mirrored_bins::{LANES, Mirrored, Twiddles, halves, reversed};

/// The transform of a window of one or two channels.
pub(crate) enum WindowTransform {
    Mono(MonoTransform),
    Stereo(StereoTransform),
}

/// A real transform, by a complex one of half the length, of `even + i odd` samples (Sorensen et al. 1987, from memory).
pub(crate) struct MonoTransform {
    complex: ComplexTransform,
    twiddles: Vec<Twiddles>,
}

/// One complex transform of `left + i right`, which costs less than two real ones. The power of both channels together
/// follows from a bin `z` and its mirror image `w`: `|left|^2 + |right|^2 = (|z|^2 + |w|^2) / 2`.
pub(crate) struct StereoTransform {
    complex: ComplexTransform,
}

/// A complex transform in place.
struct ComplexTransform {
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
            Self::Stereo(StereoTransform {
                complex: ComplexTransform::new(size),
            })
        }
    }

    /// Computes the power of each bin from 0 Hz to Nyquist, weighted and summed over channels. `shape` is the window
    /// function; each of the `histories` (one per channel) is as long as the window.
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
        let bins = size / 2;
        let groups = (0..bins / 2).step_by(LANES);
        Self {
            complex: ComplexTransform::new(bins),
            twiddles: groups.map(|first| Twiddles::new(first, bins)).collect(),
        }
    }

    fn transform(&mut self, history: &[f32], shape: &[f32]) {
        let (samples, shapes) = (history.as_chunks().0, shape.as_chunks().0);
        let pairs = self.complex.bins.as_chunks_mut().0.iter_mut();
        for ((pair, &samples), &shape) in pairs.zip(samples).zip(shapes) {
            let [even, odd, next_even, next_odd] = (f32x4::new(samples) * f32x4::new(shape)).to_array();
            *pair = [Complex::new(even, odd), Complex::new(next_even, next_odd)];
        }
        self.complex.process();
    }

    fn powers(&self, weights: &[f32], powers: &mut [f32]) {
        // The bin in the middle is its own mirror image, and but for a sign the same in both transforms.
        let middle = self.complex.bins.len() / 2;
        powers[middle] = weights[middle] * self.complex.bins[middle].norm_sqr();
        let groups = self.twiddles.len();
        let (bins, images) = halves(&self.complex.bins, groups);
        let (low_weights, high_weights) = halves(weights, groups);
        let (low, high) = powers.split_at_mut(middle);
        let (low, high) = (low.as_chunks_mut().0, high[1..].as_chunks_mut().0);
        let (low, high) = (&mut low[..groups], &mut high[..groups]);
        for (group, twiddles) in self.twiddles.iter().enumerate() {
            let mirror = groups - 1 - group;
            let (power, image) = Mirrored::new(&bins[group], &images[mirror]).real_powers(twiddles);
            low[group] = (f32x4::new(low_weights[group]) * power).to_array();
            high[mirror] = (f32x4::new(high_weights[mirror]) * reversed(image)).to_array();
        }
    }
}

impl StereoTransform {
    fn transform(&mut self, left: &[f32], right: &[f32], shape: &[f32]) {
        let (lefts, rights) = (left.as_chunks().0, right.as_chunks().0);
        let bins = self.complex.bins.as_chunks_mut().0.iter_mut();
        for (((bins, &left), &right), &shape) in bins.zip(lefts).zip(rights).zip(shape.as_chunks().0) {
            let shape = f32x4::new(shape);
            let (left, right) = (shape * f32x4::new(left), shape * f32x4::new(right));
            let [a, b, c, d] = left.unpack_lo(right).to_array();
            let [e, f, g, h] = left.unpack_hi(right).to_array();
            *bins = [[a, b], [c, d], [e, f], [g, h]].map(|[left, right]| Complex::new(left, right));
        }
        self.complex.process();
    }

    fn powers(&self, weights: &[f32], powers: &mut [f32]) {
        let middle = self.complex.bins.len() / 2;
        powers[middle] = weights[middle] * self.complex.bins[middle].norm_sqr();
        let groups = middle / LANES;
        let (bins, images) = halves(&self.complex.bins, groups);
        let outputs = powers.as_chunks_mut().0[..groups].iter_mut();
        for (group, (powers, &weights)) in outputs.zip(weights.as_chunks().0).enumerate() {
            let mirrored = Mirrored::new(&bins[group], &images[groups - 1 - group]);
            *powers = (f32x4::new(weights) * 0.5 * mirrored.complex_powers()).to_array();
        }
    }
}

impl ComplexTransform {
    fn new(size: usize) -> Self {
        let fft = FftPlanner::new().plan_fft_forward(size);
        Self {
            bins: vec![Complex::default(); size + 1],
            scratch: vec![Complex::default(); fft.get_inplace_scratch_len()],
            fft,
        }
    }

    /// Transforms what lies in `bins`.
    fn process(&mut self) {
        let size = self.bins.len() - 1;
        self.fft
            .process_with_scratch(&mut self.bins[..size], &mut self.scratch);
        self.bins[size] = self.bins[0];
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
