//! A filter section of second order whose samples are filtered four at a time.
//!
//! Its recursion reaches back by four and by eight samples: numerator and denominator are multiplied by the same factors, first
//! with the poles' mirror images, then with those of their squares (scattered look-ahead; Parhi & Messerschmitt 1989, from
//! memory). All factors are stable.

use wide::f32x4;

use crate::clock::timing::STEPS_PER_HOP;
use crate::primitives::biquad::Coefficients;

/// Samples per block.
const LANES: usize = 4;
/// Samples before a block that it depends on.
pub(super) const OLDER_SAMPLES: usize = 8;

/// The coefficients.
pub(super) struct BlockSection {
    /// Of the input, the newest sample first.
    taps: [f32x4; OLDER_SAMPLES + 1],
    /// Of the last two blocks of the output.
    again: [f32x4; 2],
}

/// Sums over the output of a hop, with a centre taken off.
pub(super) struct HopSums {
    pub of_steps: [f32; STEPS_PER_HOP],
    pub of_squares: f32,
}

impl BlockSection {
    pub fn new(section: &Coefficients) -> Self {
        let ([b0, b1, b2], [a1, a2]) = (section.b, section.a);
        // The denominator in powers of two samples, then of four.
        let (c1, c2) = (2.0 * a2 - a1 * a1, a2 * a2);
        let (d1, d2) = (2.0 * c2 - c1 * c1, c2 * c2);
        let once = times(&[b0, b1, b2], &[1.0, -a1, a2]);
        let taps = times(&once, &[1.0, 0.0, -c1, 0.0, c2]);
        let lanes = |value: f64| f32x4::splat(value as f32);
        Self {
            taps: std::array::from_fn(|tap| lanes(taps[tap])),
            again: [lanes(d1), lanes(d2)],
        }
    }

    /// Filters the steps of a hop, each of a multiple of four samples, after the [`OLDER_SAMPLES`] with which the slice begins.
    /// `memory` holds the last two blocks of the output.
    #[inline(always)]
    pub fn sums(&self, samples: &[f32], memory: &mut [f32x4; 2], centre: f32) -> HopSums {
        let step_samples = (samples.len() - OLDER_SAMPLES) / STEPS_PER_HOP;
        let [mut last, mut before] = *memory;
        let (mut sums, mut squares) = ([f32x4::ZERO; STEPS_PER_HOP], f32x4::ZERO);
        for (step, sum) in sums.iter_mut().enumerate() {
            let start = step * step_samples;
            for block in (start..start + step_samples).step_by(LANES) {
                let window: &[f32] = &samples[block..block + OLDER_SAMPLES + LANES];
                let newest_first = window.array_windows::<LANES>().rev().zip(&self.taps);
                let input = newest_first.fold(f32x4::ZERO, |input, (samples, tap)| {
                    input + f32x4::from(*samples) * *tap
                });
                let output = (input - last * self.again[0]) - before * self.again[1];
                (last, before) = (output, last);
                let beside = output - centre;
                *sum += beside;
                squares += beside * beside;
            }
        }
        *memory = [last, before];
        let [a, b, c, d] = f32x4::transpose(sums);
        HopSums {
            of_steps: ((a + b) + (c + d)).to_array(),
            of_squares: squares.reduce_add(),
        }
    }
}

/// The product of two polynomials.
fn times(one: &[f64], other: &[f64]) -> Vec<f64> {
    let mut product = vec![0.0; one.len() + other.len() - 1];
    for (n, one) in one.iter().enumerate() {
        for (m, other) in other.iter().enumerate() {
            product[n + m] += one * other;
        }
    }
    product
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loudness::k_weighting::KWeighting;
    use crate::test_signals::white_noise;

    #[test]
    fn blocks_equal_the_plain_recursion() {
        for rate_hz in [44_100.0, 48_000.0, 192_000.0] {
            let shelf = KWeighting::new(rate_hz).shelf;
            let section = BlockSection::new(&shelf);
            let mut samples = vec![0.0; OLDER_SAMPLES];
            samples.extend(white_noise(4096, 7));
            let mut memory = [f32x4::ZERO; 2];
            let sums = section.sums(&samples, &mut memory, 0.25);
            let sum: f32 = sums.of_steps.iter().sum();
            let (mut y, mut plain_sum, mut plain_squares) = ([0.0; 2], 0.0, 0.0);
            for n in OLDER_SAMPLES..samples.len() {
                let x = |back: usize| f64::from(samples[n - back]);
                let [b0, b1, b2] = shelf.b;
                let output = b0 * x(0) + b1 * x(1) + b2 * x(2) - shelf.a[0] * y[0] - shelf.a[1] * y[1];
                y = [output, y[0]];
                plain_sum += output - 0.25;
                plain_squares += (output - 0.25).powi(2);
            }
            assert!(
                (f64::from(sums.of_squares) / plain_squares - 1.0).abs() < 1e-5,
                "{rate_hz}"
            );
            assert!(
                (f64::from(sum) - plain_sum).abs() < 1e-5 * plain_squares,
                "{rate_hz}"
            );
            assert!(
                (f64::from(memory[0].to_array()[3]) - y[0]).abs() < 1e-5,
                "{rate_hz}"
            );
        }
    }
}
