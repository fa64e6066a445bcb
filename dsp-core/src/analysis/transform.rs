//! The Fourier transform of a window: one for each hop, whether the voice is mono or stereo.

use std::f64::consts::TAU;
use std::sync::Arc;

use rustfft::num_complex::Complex;
use rustfft::{Fft, FftPlanner};
use wide::f32x4;

/// Bins that are unfolded side by side.
const LANES: usize = 4;

/// The transform of a window of one channel, or of two at once. Only powers are asked for, and they come out of the complex
/// transform below without the spectrum of a real one in between.
pub(crate) enum WindowTransform {
    Mono(MonoTransform),
    Stereo(StereoTransform),
}

/// One complex transform, half as long, of the even samples and `i` times the odd ones (Cooley, Lewis & Welch 1970, from
/// memory).
///
/// With its bin `z` and the conjugate `w` of the mirror image, and `t` the turn of the odd samples, bin `k` of the window is
/// `(z + w) / 2 + t (z - w) / 2i`, and bin `half - k` is the conjugate of the same with a minus.
pub(crate) struct MonoTransform {
    fft: Arc<dyn Fft<f32>>,
    bins: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
    /// `exp(-2 pi i k / size)` from `k` = 1 on.
    turns: Vec<Parts>,
    /// Powers of the lower half of the bins but the first, and of the upper half but the last.
    low: Vec<[f32; LANES]>,
    high: Vec<[f32; LANES]>,
}

/// One complex transform of `left + i right`. What two real ones would give lies in it: with bin `z` and its mirror image
/// `w`, `2 (|left|^2 + |right|^2) = |z|^2 + |w|^2`.
pub(crate) struct StereoTransform {
    fft: Arc<dyn Fft<f32>>,
    bins: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
}

impl WindowTransform {
    /// For windows of `size` samples (a multiple of sixteen) of one channel or of two.
    pub fn new(channels: usize, size: usize) -> Self {
        if channels == 1 {
            Self::Mono(MonoTransform::new(size))
        } else {
            Self::Stereo(StereoTransform::new(size))
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
    fn new(size: usize) -> Self {
        let half = size / 2;
        let fft = FftPlanner::<f32>::new().plan_fft_forward(half);
        let turn = |k: usize| Complex::from_polar(1.0, -TAU * k as f64 / size as f64);
        let turns = |first: usize| {
            Parts::of(&std::array::from_fn(|n| {
                let turn = turn(first + n);
                Complex::new(turn.re as f32, turn.im as f32)
            }))
        };
        Self {
            bins: vec![Complex::default(); half],
            scratch: vec![Complex::default(); fft.get_inplace_scratch_len()],
            turns: (1..half / 2).step_by(LANES).map(turns).collect(),
            low: vec![[0.0; LANES]; half / 2 / LANES],
            high: vec![[0.0; LANES]; half / 2 / LANES],
            fft,
        }
    }

    fn powers(&mut self, history: &[f32], shape: &[f32], weights: &[f32], powers: &mut [f32]) {
        let (pairs, _) = self.bins.as_chunks_mut::<{ LANES / 2 }>();
        let groups = pairs.len();
        let samples = quads(history, groups).iter().zip(quads(shape, groups));
        for (pair, (samples, shape)) in pairs.iter_mut().zip(samples) {
            let [even, odd, next_even, next_odd] = (f32x4::from(*samples) * f32x4::from(*shape)).to_array();
            *pair = [Complex::new(even, odd), Complex::new(next_even, next_odd)];
        }
        self.fft.process_with_scratch(&mut self.bins, &mut self.scratch);
        self.unfold(weights, powers);
    }

    /// The powers of the window from the bins of the half transform, four and their mirror images at a time.
    fn unfold(&mut self, weights: &[f32], powers: &mut [f32]) {
        let (half, quarter) = (self.bins.len(), self.bins.len() / 2);
        let groups = self.turns.len();
        let (bins, images) = (
            quads(&self.bins[1..], groups),
            quads(&self.bins[quarter..], groups),
        );
        let (low, high) = (&mut self.low[..groups], &mut self.high[..groups]);
        for group in 0..groups {
            let mirrored = groups - 1 - group;
            let (z, w) = (Parts::of(&bins[group]), Parts::of_images(&images[mirrored]));
            let (power, image_power) = powers_of_both(z, w, &self.turns[group]);
            low[group] = power.to_array();
            high[mirrored] = reversed(image_power).to_array();
        }
        weigh(self.low.as_flattened(), &weights[1..], &mut powers[1..]);
        weigh(
            self.high.as_flattened(),
            &weights[quarter..],
            &mut powers[quarter..],
        );
        let (first, middle) = (self.bins[0], self.bins[quarter]);
        powers[0] = (first.re + first.im).powi(2) * weights[0];
        powers[quarter] = middle.norm_sqr() * weights[quarter];
        powers[half] = (first.re - first.im).powi(2) * weights[half];
    }
}

fn weigh(unweighted: &[f32], weights: &[f32], powers: &mut [f32]) {
    for ((power, weight), unweighted) in powers.iter_mut().zip(weights).zip(unweighted) {
        *power = weight * unweighted;
    }
}

/// Four bins side by side.
#[derive(Clone, Copy)]
struct Parts {
    real: f32x4,
    imaginary: f32x4,
}

impl Parts {
    fn of(bins: &[Complex<f32>; LANES]) -> Self {
        Self {
            real: f32x4::from(bins.map(|bin| bin.re)),
            imaginary: f32x4::from(bins.map(|bin| bin.im)),
        }
    }

    fn power(self) -> f32x4 {
        self.real * self.real + self.imaginary * self.imaginary
    }

    /// The conjugates, the last one first.
    fn of_images([first, second, third, last]: &[Complex<f32>; LANES]) -> Self {
        let Self { real, imaginary } = Self::of(&[*last, *third, *second, *first]);
        Self {
            real,
            imaginary: -imaginary,
        }
    }
}

/// The powers of four bins and of their mirror images.
fn powers_of_both(z: Parts, w: Parts, turn: &Parts) -> (f32x4, f32x4) {
    let (real, imaginary) = (z.real - w.real, z.imaginary - w.imaginary);
    let turned_real = turn.real * imaginary + turn.imaginary * real;
    let turned_imaginary = turn.imaginary * imaginary - turn.real * real;
    let (sum_real, sum_imaginary) = (z.real + w.real, z.imaginary + w.imaginary);
    let bins = Parts {
        real: sum_real + turned_real,
        imaginary: sum_imaginary + turned_imaginary,
    };
    let images = Parts {
        real: sum_real - turned_real,
        imaginary: sum_imaginary - turned_imaginary,
    };
    (bins.power() * 0.25, images.power() * 0.25)
}

fn reversed(four: f32x4) -> f32x4 {
    let [first, second, third, last] = four.to_array();
    f32x4::from([last, third, second, first])
}

/// The first `groups` groups of values that are worked on side by side.
fn quads<T>(values: &[T], groups: usize) -> &[[T; LANES]] {
    &values.as_chunks().0[..groups]
}

impl StereoTransform {
    fn new(size: usize) -> Self {
        let fft = FftPlanner::<f32>::new().plan_fft_forward(size);
        Self {
            bins: vec![Complex::default(); size],
            scratch: vec![Complex::default(); fft.get_inplace_scratch_len()],
            fft,
        }
    }

    fn powers(
        &mut self,
        (left, right): (&[f32], &[f32]),
        shape: &[f32],
        weights: &[f32],
        powers: &mut [f32],
    ) {
        self.window(left, right, shape);
        self.fft.process_with_scratch(&mut self.bins, &mut self.scratch);
        let half = self.bins.len() / 2;
        let groups = half / LANES;
        // The image of bin `k` lies at `2 half - k`: those of bins 1 ... `half` begin at `half`, the last first.
        let (bins, images) = (quads(&self.bins[1..], groups), quads(&self.bins[half..], groups));
        let (weights_of, powers_of) = (
            quads(&weights[1..], groups),
            &mut powers[1..].as_chunks_mut().0[..groups],
        );
        for group in 0..groups {
            let image = Parts::of(&images[groups - 1 - group]).power();
            let power = Parts::of(&bins[group]).power() + reversed(image);
            powers_of[group] = (power * f32x4::from(weights_of[group]) * 0.5).to_array();
        }
        powers[0] = self.bins[0].norm_sqr() * weights[0];
    }

    fn window(&mut self, left: &[f32], right: &[f32], shape: &[f32]) {
        let groups = self.bins.len() / LANES;
        let (left, right, shape) = (quads(left, groups), quads(right, groups), quads(shape, groups));
        let bins = &mut self.bins.as_chunks_mut().0[..groups];
        for group in 0..groups {
            let shape = f32x4::from(shape[group]);
            let left = (f32x4::from(left[group]) * shape).to_array();
            let right = (f32x4::from(right[group]) * shape).to_array();
            bins[group] = std::array::from_fn::<_, LANES, _>(|n| Complex::new(left[n], right[n]));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use realfft::RealFftPlanner;

    fn shape(size: usize) -> Vec<f32> {
        (0..size)
            .map(|n| {
                (std::f32::consts::PI * (n as f32 + 0.5) / size as f32)
                    .sin()
                    .powi(2)
            })
            .collect()
    }

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

    fn noise(size: usize, gain: f32, seed: u32) -> Vec<f32> {
        let mut state = seed;
        (0..size)
            .map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                gain * ((state >> 8) as f32 / 8_388_608.0 - 1.0)
            })
            .collect()
    }

    /// The powers of one channel by the crate `realfft`.
    fn reference(history: &[f32]) -> Vec<f32> {
        let fft = RealFftPlanner::<f32>::new().plan_fft_forward(history.len());
        let mut windowed: Vec<f32> = history
            .iter()
            .zip(shape(history.len()))
            .map(|(x, shape)| x * shape)
            .collect();
        let mut bins = fft.make_output_vec();
        fft.process(&mut windowed, &mut bins)
            .expect("lengths of the plan");
        bins.iter().map(|bin| bin.norm_sqr()).collect()
    }

    proptest! {
        #[test]
        fn one_transform_gives_the_powers_that_realfft_gives_channel_by_channel(
            octaves in 6u32..11, left_gain in 0f32..1.0, right_gain in 0f32..1.0, seed in 1u32..1000,
        ) {
            let size = 1 << octaves;
            let (left, right) = (noise(size, left_gain, seed), noise(size, right_gain, seed + 1000));
            let weights: Vec<f32> = (0..=size / 2).map(|bin| 0.5 + (bin % 3) as f32).collect();
            let (left_alone, right_alone) = (reference(&left), reference(&right));
            for histories in [vec![left.clone()], vec![left, right]] {
                let ours = powers(&histories, &weights);
                let wanted: Vec<f32> = (0..=size / 2)
                    .map(|bin| weights[bin] * (left_alone[bin] + if histories.len() > 1 { right_alone[bin] } else { 0.0 }))
                    .collect();
                let loudest = wanted.iter().fold(0f32, |loudest, &power| loudest.max(power));
                for (bin, (ours, wanted)) in ours.iter().zip(&wanted).enumerate() {
                    // Single precision: each bin is off by a millionth of the loudest, as an amplitude.
                    let allowed = 1e-6 * (wanted * loudest).sqrt() + 1e-12 * loudest;
                    prop_assert!((ours - wanted).abs() <= allowed, "{ours} {wanted} in bin {bin}");
                }
            }
        }
    }
}
