//! The filters, in 64 bits, channels side by side.

use std::array::from_fn;
use std::hint::black_box;

use super::super::sounds::Stereo;
use super::{BLOCK, Work};

/// One number a channel.
type Lanes<const CHANNELS: usize> = [f64; CHANNELS];

/// The block that begins at `start`, frame by frame.
#[inline(always)]
fn frames<const CHANNELS: usize>(sound: &Stereo, start: usize) -> impl Iterator<Item = Lanes<CHANNELS>> {
    // A length that is known spares a check with every sample.
    let channels: [&[f32; BLOCK]; CHANNELS] =
        from_fn(|lane| sound[lane][start..].first_chunk().unwrap_or(&[0.0; BLOCK]));
    (0..BLOCK).map(move |n| from_fn(|lane| f64::from(channels[lane][n])))
}

/// The coefficients of ITU-R BS.1770-5 at 48 kHz: head, then high-pass.
const HEAD: ([f64; 3], [f64; 2]) = (
    [1.535_124_859_586_97, -2.691_696_189_406_38, 1.198_392_810_852_85],
    [-1.690_659_293_182_41, 0.732_480_774_215_85],
);
const HIGH_PASS: ([f64; 3], [f64; 2]) = ([1.0, -2.0, 1.0], [-1.990_047_454_833_98, 0.990_072_250_366_21]);

/// A biquad in transposed direct form II.
#[derive(Clone, Copy)]
struct Biquad<const CHANNELS: usize> {
    memory: [Lanes<CHANNELS>; 2],
}

impl<const CHANNELS: usize> Biquad<CHANNELS> {
    #[inline(always)]
    fn process(&mut self, (b, a): &([f64; 3], [f64; 2]), x: Lanes<CHANNELS>) -> Lanes<CHANNELS> {
        let [first, second] = self.memory;
        let y = from_fn(|lane| b[0] * x[lane] + first[lane]);
        self.memory[0] = from_fn(|lane| b[1] * x[lane] - a[0] * y[lane] + second[lane]);
        self.memory[1] = from_fn(|lane| b[2] * x[lane] - a[1] * y[lane]);
        y
    }
}

pub fn k_weighting<'a, const CHANNELS: usize>() -> Work<'a> {
    let resting = Biquad {
        memory: [[0.0; CHANNELS]; 2],
    };
    let [mut head, mut high_pass] = [resting; 2];
    Box::new(move |sound, start| {
        let (mut plain, mut weighted) = ([0.0; CHANNELS], [0.0; CHANNELS]);
        for x in frames(sound, start) {
            let y = high_pass.process(&HIGH_PASS, head.process(&HEAD, x));
            plain = from_fn(|lane| plain[lane] + x[lane] * x[lane]);
            weighted = from_fn(|lane| weighted[lane] + y[lane] * y[lane]);
        }
        black_box((plain, weighted));
    })
}

/// A state-variable section with trapezoidal integrators.
#[derive(Clone, Copy)]
struct Section<const CHANNELS: usize> {
    band: Lanes<CHANNELS>,
    low: Lanes<CHANNELS>,
}

impl<const CHANNELS: usize> Section<CHANNELS> {
    const RESTING: Self = Self {
        band: [0.0; CHANNELS],
        low: [0.0; CHANNELS],
    };

    /// Band-pass and low-pass.
    #[inline(always)]
    fn process(&mut self, [a1, a2, a3]: &[f64; 3], x: Lanes<CHANNELS>) -> [Lanes<CHANNELS>; 2] {
        let difference: Lanes<CHANNELS> = from_fn(|lane| x[lane] - self.low[lane]);
        let band: Lanes<CHANNELS> = from_fn(|lane| a1 * self.band[lane] + a2 * difference[lane]);
        let low: Lanes<CHANNELS> =
            from_fn(|lane| self.low[lane] + a2 * self.band[lane] + a3 * difference[lane]);
        self.band = from_fn(|lane| 2.0 * band[lane] - self.band[lane]);
        self.low = from_fn(|lane| 2.0 * low[lane] - self.low[lane]);
        [band, low]
    }
}

/// What the integrators weigh their inputs with, from `tan(pi f / fs)` and the damping.
fn integrators(warped_corner: f64, damping: f64) -> [f64; 3] {
    let a1 = 1.0 / (1.0 + warped_corner * (warped_corner + damping));
    [a1, warped_corner * a1, warped_corner * warped_corner * a1]
}

/// Two sections in a row with what each takes and leaves, as a shelf of the fourth order has it.
pub fn shelf<'a, const CHANNELS: usize>() -> Work<'a> {
    // The poles of a Butterworth filter; 5 kHz at 48 kHz; 6 dB.
    let dampings = [0.765_366_864_730_179_6, 1.847_759_065_022_573_5];
    let coefficients = black_box(dampings.map(|damping| integrators(0.339_454, damping)));
    let (root, square) = black_box((0.841_395, 0.707_946));
    let mut sections = [Section::<CHANNELS>::RESTING; 2];
    let mut output = [[0f32; BLOCK]; CHANNELS];
    Box::new(move |sound, start| {
        for (n, mut y) in frames(sound, start).enumerate() {
            for ((section, coefficients), damping) in sections.iter_mut().zip(&coefficients).zip(dampings) {
                let [band, low] = section.process(coefficients, y);
                let (of_band, of_low) = (damping * (root - square), 1.0 - square);
                y = from_fn(|lane| square * y[lane] + of_band * band[lane] + of_low * low[lane]);
            }
            (0..CHANNELS).for_each(|lane| output[lane][n] = y[lane] as f32);
        }
        black_box(&output);
    })
}

pub fn low_cut<'a, const CHANNELS: usize>() -> Work<'a> {
    let damping = std::f64::consts::SQRT_2;
    // 120 Hz at 48 kHz.
    let coefficients = black_box(integrators(0.007_854, damping));
    let mut section = Section::<CHANNELS>::RESTING;
    let mut output = [[0f32; BLOCK]; CHANNELS];
    Box::new(move |sound, start| {
        for (n, x) in frames(sound, start).enumerate() {
            let [band, low] = section.process(&coefficients, x);
            for lane in 0..CHANNELS {
                output[lane][n] = (x[lane] - damping * band[lane] - low[lane]) as f32;
            }
        }
        black_box(&output);
    })
}
