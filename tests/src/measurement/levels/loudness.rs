//! Loudness (ITU-R BS.1770-5): K-weighting at any sample rate, level of a stretch, gated level of a programme.

use std::f64::consts::PI;

pub use siskin_host::programme_lufs;

use crate::measurement::models::Biquad;

/// Rate for which the standard gives its coefficients, Hz.
const TABLE_RATE_HZ: f64 = 48_000.0;
/// Offset of the standard, LU: with it a 997 Hz sine at full scale reads -3.01 LKFS.
const OFFSET_LU: f64 = -0.691;

/// A section of second order: numerator and denominator in powers of z^-1.
#[derive(Debug, Clone, Copy)]
struct Section {
    b: [f64; 3],
    a: [f64; 3],
}

/// Shelf for the head at 48 kHz (BS.1770-5, annex 1, table 1, from memory).
const SHELF: Section = Section {
    b: [1.53512485958697, -2.69169618940638, 1.19839281085285],
    a: [1.0, -1.69065929318241, 0.73248077421585],
};
/// Frequency at which the shelf keeps its gain at every rate, Hz: about its corner.
const SHELF_HZ: f64 = 1682.0;

/// High-pass at 48 kHz (BS.1770-5, annex 1, table 2, from memory).
const HIGH_PASS: Section = Section {
    b: [1.0, -2.0, 1.0],
    a: [1.0, -1.99004745483398, 0.99007225036621],
};
/// Frequency at which the high-pass keeps its gain at every rate, Hz: about its corner.
const HIGH_PASS_HZ: f64 = 38.0;

impl Section {
    /// The section of another rate with the same gain at `kept_hz`: the bilinear transform is undone at 48 kHz
    /// and done again at the other rate.
    fn at_rate(&self, sample_rate_hz: f64, kept_hz: f64) -> Biquad {
        let warped = |rate_hz: f64| (PI * kept_hz / rate_hz).tan();
        let stretch = warped(TABLE_RATE_HZ) / warped(sample_rate_hz);
        let [b, a] = [self.b, self.a].map(|z| stretched(z, stretch));
        Biquad::of(b, a)
    }
}

/// A polynomial in z^-1 whose frequency axis is stretched, by way of powers of s = (1 - z^-1) / (1 + z^-1).
fn stretched([z0, z1, z2]: [f64; 3], stretch: f64) -> [f64; 3] {
    let constant = z0 + z1 + z2;
    let linear = 2.0 * (z0 - z2) * stretch;
    let square = (z0 - z1 + z2) * stretch * stretch;
    [
        constant + linear + square,
        2.0 * (constant - square),
        constant - linear + square,
    ]
}

/// The sound after the K-weighting of BS.1770-5.
pub fn k_weighted(audio: &[f32], sample_rate_hz: f64) -> Vec<f32> {
    let mut shelf = SHELF.at_rate(sample_rate_hz, SHELF_HZ);
    let mut high_pass = HIGH_PASS.at_rate(sample_rate_hz, HIGH_PASS_HZ);
    let weighted = audio
        .iter()
        .map(|&sample| high_pass.process(shelf.process(f64::from(sample))) as f32);
    weighted.collect()
}

/// Level, LUFS, of sound that is K-weighted already; no gate. Minus infinity where it is silent or empty.
pub fn lufs(k_weighted: &[f32]) -> f32 {
    lufs_from_power(energy(k_weighted) / k_weighted.len().max(1) as f64)
}

/// Level, LUFS, of a mean square after K-weighting.
pub(crate) fn lufs_from_power(power: f64) -> f32 {
    (OFFSET_LU + 10.0 * power.log10()) as f32
}

/// Sum of squares.
pub(super) fn energy(audio: &[f32]) -> f64 {
    audio.iter().map(|&sample| f64::from(sample).powi(2)).sum()
}

/// Gated loudness of a programme of one channel, LUFS, by the crate `ebur128`. Minus infinity where all is silent.
///
/// # Panics
/// Where the rate is none that `ebur128` takes (16 Hz to 2.8 MHz).
pub fn integrated_lufs(audio: &[f32], sample_rate_hz: f64) -> f32 {
    programme_lufs(&[audio], sample_rate_hz.round() as u32)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::near;
    use crate::measurement::voices::signals::sine;

    const RATES_HZ: [f64; 5] = [44_100.0, 48_000.0, 88_200.0, 96_000.0, 192_000.0];

    #[test]
    fn full_scale_sine_reads_the_standards_level() {
        for rate_hz in RATES_HZ {
            let level_lufs = lufs(&k_weighted(&sine(997.0, rate_hz, rate_hz as usize), rate_hz));
            near(level_lufs, -3.01, 0.01, rate_hz);
        }
    }

    // The crate leaves the high-pass's numerator as it is at every rate, so that its gain falls from 0.05 dB at
    // 44.1 kHz to 0.01 dB at 192 kHz; here it keeps the 0.04 dB of the standard's table.
    #[test]
    fn sines_read_as_ebur128_reads_them_at_every_rate() {
        for rate_hz in RATES_HZ {
            for frequency_hz in [40.0, 100.0, 997.0, 1700.0, 3000.0, 6000.0, 12_000.0] {
                let audio = sine(frequency_hz, rate_hz, rate_hz as usize);
                let own_lufs = lufs(&k_weighted(&audio, rate_hz));
                let crate_lufs = integrated_lufs(&audio, rate_hz);
                near(own_lufs, crate_lufs, 0.06, (frequency_hz, rate_hz));
            }
        }
    }

    #[test]
    fn silence_reads_minus_infinity() {
        assert_eq!(lufs(&[]), f32::NEG_INFINITY);
        assert_eq!(lufs(&[0.0; 480]), f32::NEG_INFINITY);
        assert_eq!(integrated_lufs(&[0.0; 48_000], 48_000.0), f32::NEG_INFINITY);
    }
}
