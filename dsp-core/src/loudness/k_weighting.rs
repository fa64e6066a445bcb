//! K-weighting (ITU-R BS.1770-5, annex 1): a high shelf for the head, then a high-pass.
//!
//! The standard gives coefficients for 48 kHz only. They are bilinear transforms of two analogue sections, whose corner, Q
//! and gain are used here at every rate (the values of `libebur128`, from memory; the tests compare them with the crate
//! `ebur128` and with the table of the standard).

use crate::primitives::biquad::Coefficients;

const SHELF_HZ: f64 = 1681.974450955533;
const SHELF_Q: f64 = 0.7071752369554196;
const SHELF_GAIN_DB: f64 = 3.999843853973347;
const SHELF_BAND_EXPONENT: f64 = 0.4996667741545416;
const HIGH_PASS_HZ: f64 = 38.13547087602444;
const HIGH_PASS_Q: f64 = 0.5003270373238773;

/// The two sections of the weighting at one sample rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct KWeighting {
    sample_rate_hz: f64,
    pub shelf: Coefficients,
    pub high_pass: Coefficients,
}

impl KWeighting {
    pub fn new(sample_rate_hz: f64) -> Self {
        Self {
            sample_rate_hz,
            shelf: shelf(sample_rate_hz),
            high_pass: high_pass(sample_rate_hz),
        }
    }

    /// Power gain at `frequency_hz`.
    pub fn power_gain(&self, frequency_hz: f64, sample_rate_hz: f64) -> f64 {
        let radians = std::f64::consts::TAU * frequency_hz / sample_rate_hz;
        self.shelf.power_gain(radians) * self.high_pass.power_gain(radians)
    }

    /// What the high-pass takes away, as a filter of one sample per `step_samples`.
    pub fn below_high_pass(&self, step_samples: usize) -> Coefficients {
        let k = (std::f64::consts::PI * HIGH_PASS_HZ * step_samples as f64 / self.sample_rate_hz).tan();
        let a0 = 1.0 + k / HIGH_PASS_Q + k * k;
        Coefficients {
            b: [
                (k / HIGH_PASS_Q + k * k) / a0,
                2.0 * k * k / a0,
                (k * k - k / HIGH_PASS_Q) / a0,
            ],
            a: [2.0 * (k * k - 1.0) / a0, (1.0 - k / HIGH_PASS_Q + k * k) / a0],
        }
    }
}

fn shelf(sample_rate_hz: f64) -> Coefficients {
    let k = (std::f64::consts::PI * SHELF_HZ / sample_rate_hz).tan();
    let high = 10f64.powf(SHELF_GAIN_DB / 20.0);
    let band = high.powf(SHELF_BAND_EXPONENT);
    let a0 = 1.0 + k / SHELF_Q + k * k;
    Coefficients {
        b: [
            (high + band * k / SHELF_Q + k * k) / a0,
            2.0 * (k * k - high) / a0,
            (high - band * k / SHELF_Q + k * k) / a0,
        ],
        a: [2.0 * (k * k - 1.0) / a0, (1.0 - k / SHELF_Q + k * k) / a0],
    }
}

fn high_pass(sample_rate_hz: f64) -> Coefficients {
    let k = (std::f64::consts::PI * HIGH_PASS_HZ / sample_rate_hz).tan();
    let a0 = 1.0 + k / HIGH_PASS_Q + k * k;
    // The standard keeps the numerator 1, -2, 1 and accounts for the small gain in its loudness offset.
    Coefficients {
        b: [1.0, -2.0, 1.0],
        a: [2.0 * (k * k - 1.0) / a0, (1.0 - k / HIGH_PASS_Q + k * k) / a0],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::timing::Timing;
    use crate::loudness::k_filter::KFilter;
    use crate::primitives::decibels::lufs_from_power;
    use crate::test_signals::white_noise;
    use ebur128::{EbuR128, Mode};
    use proptest::prelude::*;

    fn loudness_lufs(signal: &[f32], sample_rate_hz: f64) -> f32 {
        let timing = Timing::new(sample_rate_hz);
        let mut filter = KFilter::new(timing, &KWeighting::new(sample_rate_hz));
        let window_samples = 2 * timing.hop_samples;
        let hops = signal.len() / timing.hop_samples;
        let padded = [&vec![0.0; timing.hop_samples], signal].concat();
        let windows = padded.windows(window_samples).step_by(timing.hop_samples);
        let energy: f64 = windows.map(|window| filter.energy([window].into_iter())).sum();
        lufs_from_power(energy / (hops * timing.hop_samples) as f64)
    }

    fn reference_lufs(signal: &[f32], sample_rate_hz: u32) -> f32 {
        let mut meter = EbuR128::new(1, sample_rate_hz, Mode::I | Mode::S).expect("meter");
        meter.add_frames_f32(signal).expect("frames");
        meter.loudness_window(1000).expect("loudness") as f32
    }

    // ITU-R BS.1770-5, tables 1 and 2.
    #[test]
    fn coefficients_at_48_khz_match_the_standard() {
        let weighting = KWeighting::new(48_000.0);
        let close = |ours: f64, standard: f64| assert!((ours - standard).abs() < 1e-10, "{ours} {standard}");
        close(weighting.shelf.b[0], 1.53512485958697);
        close(weighting.shelf.b[1], -2.69169618940638);
        close(weighting.shelf.b[2], 1.19839281085285);
        close(weighting.shelf.a[0], -1.69065929318241);
        close(weighting.shelf.a[1], 0.73248077421585);
        close(weighting.high_pass.a[0], -1.99004745483398);
        close(weighting.high_pass.a[1], 0.99007225036621);
    }

    // ITU-R BS.1770-5, annex 1: 997 Hz at 0 dBFS in one channel reads -3.01 LKFS.
    #[test]
    fn full_scale_997_hz_reads_minus_3_01_lkfs() {
        for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
            let tone: Vec<f32> = (0..rate_hz as usize)
                .map(|n| (std::f64::consts::TAU * 997.0 * n as f64 / rate_hz).sin() as f32)
                .collect();
            let lufs = loudness_lufs(&tone, rate_hz);
            assert!((lufs + 3.01).abs() < 0.03, "{lufs} at {rate_hz}");
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        #[test]
        fn noise_and_tones_match_ebur128(
            rate_hz in prop::sample::select(vec![44_100u32, 48_000, 96_000, 192_000]),
            tone_hz in 40f64..16_000.0, noise in 0f32..0.5, seed in 1u32..1000,
        ) {
            let turn = std::f64::consts::TAU * tone_hz / f64::from(rate_hz);
            let tone = |n: usize| 0.3 * (turn * n as f64).sin() as f32;
            let white = white_noise(rate_hz as usize, seed);
            let signal: Vec<f32> = white.iter().enumerate().map(|(n, white)| noise * white + tone(n)).collect();
            let (ours, theirs) = (loudness_lufs(&signal, f64::from(rate_hz)), reference_lufs(&signal, rate_hz));
            prop_assert!((ours - theirs).abs() < 0.02, "{ours} {theirs}");
        }
    }
}
