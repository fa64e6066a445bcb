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

/// A state-variable section with trapezoidal integrators, solved for its two memories: what comes out and what is kept are
/// weighted sums of the sample and the memories, so that no sum waits for another within a sample.
#[derive(Clone, Copy)]
struct Section<const CHANNELS: usize> {
    band: Lanes<CHANNELS>,
    low: Lanes<CHANNELS>,
}

/// What a section weighs the sample, the band memory and the low memory with.
#[derive(Clone, Copy)]
struct Weights {
    band: [f64; 3],
    low: [f64; 3],
    out: [f64; 3],
}

impl Weights {
    /// From `tan(pi f / fs)` and the damping; the output is `whole` of the sample, `of_band` of the band-pass and `of_low`
    /// of the low-pass.
    fn new(warped_corner: f64, damping: f64, [whole, of_band, of_low]: [f64; 3]) -> Self {
        let a1 = 1.0 / (1.0 + warped_corner * (warped_corner + damping));
        let (a2, a3) = (warped_corner * a1, warped_corner * warped_corner * a1);
        Self {
            band: [2.0 * a2, 2.0 * a1 - 1.0, -2.0 * a2],
            low: [2.0 * a3, 2.0 * a2, 1.0 - 2.0 * a3],
            out: [
                whole + of_band * a2 + of_low * a3,
                of_band * a1 + of_low * a2,
                of_low * (1.0 - a3) - of_band * a2,
            ],
        }
    }
}

impl<const CHANNELS: usize> Section<CHANNELS> {
    const RESTING: Self = Self {
        band: [0.0; CHANNELS],
        low: [0.0; CHANNELS],
    };

    #[inline(always)]
    fn process(&mut self, weights: &Weights, x: Lanes<CHANNELS>) -> Lanes<CHANNELS> {
        let Self { band, low } = *self;
        let sum = |[of_x, of_band, of_low]: [f64; 3]| -> Lanes<CHANNELS> {
            from_fn(|lane| of_x * x[lane] + (of_band * band[lane] + of_low * low[lane]))
        };
        self.band = sum(weights.band);
        self.low = sum(weights.low);
        sum(weights.out)
    }
}

/// Two sections in a row with what each takes and leaves, as a shelf of the fourth order has it.
pub fn shelf<'a, const CHANNELS: usize>() -> Work<'a> {
    // The poles of a Butterworth filter; 5 kHz at 48 kHz; 6 dB.
    let (root, square) = (0.841_395, 0.707_946);
    let weights = [0.765_366_864_730_179_6, 1.847_759_065_022_573_5].map(|damping| {
        let mixed = [square, damping * (root - square), 1.0 - square];
        Weights::new(0.339_454, damping, mixed)
    });
    let weights = black_box(weights);
    let mut sections = [Section::<CHANNELS>::RESTING; 2];
    let mut output = [[0f32; BLOCK]; CHANNELS];
    Box::new(move |sound, start| {
        for (n, mut y) in frames(sound, start).enumerate() {
            for (section, weights) in sections.iter_mut().zip(&weights) {
                y = section.process(weights, y);
            }
            (0..CHANNELS).for_each(|lane| output[lane][n] = y[lane] as f32);
        }
        black_box(&output);
    })
}

pub fn low_cut<'a, const CHANNELS: usize>() -> Work<'a> {
    let damping = std::f64::consts::SQRT_2;
    // 120 Hz at 48 kHz.
    let weights = black_box(Weights::new(0.007_854, damping, [1.0, -damping, -1.0]));
    let mut section = Section::<CHANNELS>::RESTING;
    let mut output = [[0f32; BLOCK]; CHANNELS];
    Box::new(move |sound, start| {
        for (n, x) in frames(sound, start).enumerate() {
            let y = section.process(&weights, x);
            (0..CHANNELS).for_each(|lane| output[lane][n] = y[lane] as f32);
        }
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
        let weights = Weights::new(corner, damping, mixed);
        let (mut section, mut memory) = (Section::<1>::RESTING, [0.0; 2]);
        for n in 0..200 {
            let x = if n == 0 { 1.0 } else { (f64::from(n) * 0.3).sin() };
            let [band, low] = as_integrators(x, &mut memory, corner, damping);
            let asked = mixed[0] * x + mixed[1] * band + mixed[2] * low;
            let [got] = section.process(&weights, [x]);
            assert!((got - asked).abs() < 1e-12, "{n}: {got} and {asked}");
        }
    }
}
