//! The filters, in 64 bits, channels side by side.

use std::array::from_fn;
use std::hint::black_box;
use std::ops::{Add, Mul, Sub};

use super::super::sounds::Stereo;
use super::{BLOCK, Work};

/// One number a channel.
#[derive(Clone, Copy)]
struct Lanes<const CHANNELS: usize>([f64; CHANNELS]);

impl<const CHANNELS: usize> Lanes<CHANNELS> {
    const NOTHING: Self = Self([0.0; CHANNELS]);
}

impl<const CHANNELS: usize> Add for Lanes<CHANNELS> {
    type Output = Self;

    #[inline(always)]
    fn add(self, other: Self) -> Self {
        Self(from_fn(|lane| self.0[lane] + other.0[lane]))
    }
}

impl<const CHANNELS: usize> Sub for Lanes<CHANNELS> {
    type Output = Self;

    #[inline(always)]
    fn sub(self, other: Self) -> Self {
        Self(from_fn(|lane| self.0[lane] - other.0[lane]))
    }
}

impl<const CHANNELS: usize> Mul for Lanes<CHANNELS> {
    type Output = Self;

    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        Self(from_fn(|lane| self.0[lane] * other.0[lane]))
    }
}

/// A block of each channel; a length that is known spares a check with every sample.
type Channels<'a, const CHANNELS: usize> = [&'a [f32; BLOCK]; CHANNELS];

fn channels<const CHANNELS: usize>(sound: &Stereo, start: usize) -> Channels<'_, CHANNELS> {
    from_fn(|lane| sound[lane][start..].first_chunk().unwrap_or(&[0.0; BLOCK]))
}

#[inline(always)]
fn frame<const CHANNELS: usize>(channels: &Channels<'_, CHANNELS>, n: usize) -> Lanes<CHANNELS> {
    Lanes(channels.map(|channel| f64::from(channel[n])))
}

/// The same numbers for every channel.
fn everywhere<const NUMBERS: usize, const CHANNELS: usize>(
    numbers: [f64; NUMBERS],
) -> [Lanes<CHANNELS>; NUMBERS] {
    numbers.map(|number| Lanes([number; CHANNELS]))
}

/// The coefficients of ITU-R BS.1770-5 at 48 kHz, head and high-pass: what comes in, then what went out.
const HEAD: [f64; 5] = [
    1.535_124_859_586_97,
    -2.691_696_189_406_38,
    1.198_392_810_852_85,
    -1.690_659_293_182_41,
    0.732_480_774_215_85,
];
const HIGH_PASS: [f64; 5] = [1.0, -2.0, 1.0, -1.990_047_454_833_98, 0.990_072_250_366_21];

/// The memories of a biquad in transposed direct form II.
#[derive(Clone, Copy)]
struct Biquad<const CHANNELS: usize>([Lanes<CHANNELS>; 2]);

impl<const CHANNELS: usize> Biquad<CHANNELS> {
    #[inline(always)]
    fn process(&mut self, c: &[Lanes<CHANNELS>; 5], x: Lanes<CHANNELS>) -> Lanes<CHANNELS> {
        let y = c[0] * x + self.0[0];
        self.0 = [c[1] * x - c[3] * y + self.0[1], c[2] * x - c[4] * y];
        y
    }
}

pub fn k_weighting<'a, const CHANNELS: usize>() -> Work<'a> {
    let coefficients = black_box([HEAD, HIGH_PASS].map(everywhere));
    let mut kept = [Biquad([Lanes::<CHANNELS>::NOTHING; 2]); 2];
    Box::new(move |sound, start| {
        let channels = channels(sound, start);
        let ([head_by, high_pass_by], [mut head, mut high_pass]) = (coefficients, kept);
        let (mut plain, mut weighted) = (Lanes::NOTHING, Lanes::NOTHING);
        (0..BLOCK).for_each(|n| {
            let x = frame(&channels, n);
            let y = high_pass.process(&high_pass_by, head.process(&head_by, x));
            plain = plain + x * x;
            weighted = weighted + y * y;
        });
        kept = [head, high_pass];
        black_box((plain, weighted));
    })
}

/// A state-variable section with trapezoidal integrators, solved for its two memories: what comes out and what is kept are
/// weighted sums of the sample and the memories, so that no sum waits for another within a sample.
#[derive(Clone, Copy)]
struct Section<const CHANNELS: usize> {
    band: Lanes<CHANNELS>,
    low: Lanes<CHANNELS>,
}

/// What a section weighs the sample, the band memory and the low memory with, for the next band memory, the next low
/// memory and the output; from `tan(pi f / fs)` and the damping. The output is `whole` of the sample, `of_band` of the
/// band-pass and `of_low` of the low-pass.
fn solved(warped_corner: f64, damping: f64, [whole, of_band, of_low]: [f64; 3]) -> [f64; 9] {
    let a1 = 1.0 / (1.0 + warped_corner * (warped_corner + damping));
    let (a2, a3) = (warped_corner * a1, warped_corner * warped_corner * a1);
    let band = [2.0 * a2, 2.0 * a1 - 1.0, -2.0 * a2];
    let low = [2.0 * a3, 2.0 * a2, 1.0 - 2.0 * a3];
    let output = [
        whole + of_band * a2 + of_low * a3,
        of_band * a1 + of_low * a2,
        of_low * (1.0 - a3) - of_band * a2,
    ];
    let rows = [band, low, output];
    from_fn(|place| rows[place / 3][place % 3])
}

impl<const CHANNELS: usize> Section<CHANNELS> {
    const RESTING: Self = Self {
        band: Lanes::NOTHING,
        low: Lanes::NOTHING,
    };

    #[inline(always)]
    fn process(&mut self, by: &[Lanes<CHANNELS>; 9], x: Lanes<CHANNELS>) -> Lanes<CHANNELS> {
        let Self { band, low } = *self;
        self.band = by[0] * x + (by[1] * band + by[2] * low);
        self.low = by[3] * x + (by[4] * band + by[5] * low);
        by[6] * x + (by[7] * band + by[8] * low)
    }
}

/// Two sections in a row with what each takes and leaves, as a shelf of the fourth order has it.
pub fn shelf<'a, const CHANNELS: usize>() -> Work<'a> {
    // The poles of a Butterworth filter; 5 kHz at 48 kHz; 6 dB.
    let (root, square) = (0.841_395, 0.707_946);
    let weights = [0.765_366_864_730_179_6, 1.847_759_065_022_573_5].map(|damping| {
        let mixed = [square, damping * (root - square), 1.0 - square];
        everywhere(solved(0.339_454, damping, mixed))
    });
    let weights = black_box(weights);
    let mut kept = [Section::<CHANNELS>::RESTING; 2];
    let mut output = [[0f32; BLOCK]; CHANNELS];
    Box::new(move |sound, start| {
        let channels = channels(sound, start);
        let ([first_by, second_by], [mut first, mut second]) = (weights, kept);
        (0..BLOCK).for_each(|n| {
            let y = second.process(&second_by, first.process(&first_by, frame(&channels, n)));
            (0..CHANNELS).for_each(|lane| output[lane][n] = y.0[lane] as f32);
        });
        kept = [first, second];
        black_box(&output);
    })
}

pub fn low_cut<'a, const CHANNELS: usize>() -> Work<'a> {
    let damping = std::f64::consts::SQRT_2;
    // 120 Hz at 48 kHz.
    let weights = black_box(everywhere(solved(0.007_854, damping, [1.0, -damping, -1.0])));
    let mut kept = Section::<CHANNELS>::RESTING;
    let mut output = [[0f32; BLOCK]; CHANNELS];
    Box::new(move |sound, start| {
        let channels = channels(sound, start);
        let (by, mut section) = (weights, kept);
        (0..BLOCK).for_each(|n| {
            let y = section.process(&by, frame(&channels, n));
            (0..CHANNELS).for_each(|lane| output[lane][n] = y.0[lane] as f32);
        });
        kept = section;
        black_box(&output);
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The textbook's way, sample by sample.
    fn as_integrators(x: f64, memory: &mut [f64; 2], warped_corner: f64, damping: f64) -> [f64; 2] {
        let a1 = 1.0 / (1.0 + warped_corner * (warped_corner + damping));
        let (a2, a3) = (warped_corner * a1, warped_corner * warped_corner * a1);
        let difference = x - memory[1];
        let band = a1 * memory[0] + a2 * difference;
        let low = memory[1] + a2 * memory[0] + a3 * difference;
        *memory = [2.0 * band - memory[0], 2.0 * low - memory[1]];
        [band, low]
    }

    #[test]
    fn a_section_that_is_solved_sounds_as_its_integrators() {
        let (corner, damping, mixed) = (0.339_454, 0.765, [0.7, 0.2, 0.3]);
        let weights = everywhere(solved(corner, damping, mixed));
        let (mut section, mut memory) = (Section::<1>::RESTING, [0.0; 2]);
        for n in 0..200 {
            let x = if n == 0 { 1.0 } else { (f64::from(n) * 0.3).sin() };
            let [band, low] = as_integrators(x, &mut memory, corner, damping);
            let asked = mixed[0] * x + mixed[1] * band + mixed[2] * low;
            let Lanes([got]) = section.process(&weights, Lanes([x]));
            assert!((got - asked).abs() < 1e-12, "{n}: {got} and {asked}");
        }
    }
}
