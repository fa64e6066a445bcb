//! The textbook sibilance stage with a fixed threshold: the band above a corner is split off in linear phase, its
//! level is read, and its own gain turns it down.

use std::f64::consts::PI;

use super::dynamics::{Curve, PeakDetector};

/// Length of the splitting filter, s: an edge of about 1.2 kHz (common practice, no source).
const SPLIT_S: f64 = 0.0026;
/// Time constant of the band's mean square, ms: a few periods of its lowest frequency.
const LEVEL_MS: f64 = 1.5;
/// Width of the knee, dB (common practice, no source).
const KNEE_DB: f64 = 6.0;
/// Samples that are filtered at a time, so that they stay in the processor's nearest cache.
const PIECE_SAMPLES: usize = 4096;
/// Mean square below which the detector reads no further: -200 dB, and finite.
const FLOOR_POWER: f64 = 1e-20;

/// Settings of the stage. Attack and release are the times to 63 % of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FixedSibilanceSettings {
    /// Corner of the split, Hz.
    pub from_hz: f64,
    /// Level of the band, mean square, at the middle of the knee, dB re full scale.
    pub threshold_db: f64,
    /// Decibels in per decibel out, 1 or more.
    pub ratio: f64,
    /// Most that is taken away, dB.
    pub range_db: f64,
    /// Attack, ms, above 0.
    pub attack_ms: f64,
    /// Release, ms, above 0.
    pub release_ms: f64,
}

/// Turns the band above the corner down where its level passes the threshold. At rest the sound is unchanged, since
/// the two bands are the sound and nothing is delayed.
pub fn tame(audio: &[f32], sample_rate_hz: f64, settings: &FixedSibilanceSettings) -> Vec<f32> {
    let band = filtered(audio, &high_pass(sample_rate_hz, settings.from_hz));
    let curve = Curve {
        threshold_db: settings.threshold_db,
        ratio: settings.ratio,
        knee_db: KNEE_DB,
    };
    let mut detector = PeakDetector::new(sample_rate_hz, settings.attack_ms, settings.release_ms);
    let level_decay = (-1.0 / (1e-3 * LEVEL_MS * sample_rate_hz)).exp();
    let mut power = 0.0;
    audio
        .iter()
        .zip(&band)
        .map(|(&sample, &band)| {
            let square = f64::from(band).powi(2);
            power = square + level_decay * (power - square);
            let level_db = 10.0 * power.max(FLOOR_POWER).log10();
            let asked_db = curve.reduction_db(level_db).min(settings.range_db);
            let gain = 10_f64.powf(-detector.process(asked_db) / 20.0);
            (f64::from(sample) + (gain - 1.0) * f64::from(band)) as f32
        })
        .collect()
}

/// An impulse less a windowed-sinc low-pass (Hann window): odd length, linear phase.
fn high_pass(sample_rate_hz: f64, from_hz: f64) -> Vec<f32> {
    let half = (SPLIT_S * sample_rate_hz / 2.0) as i32;
    let corner = 2.0 * from_hz / sample_rate_hz;
    let low_pass: Vec<f64> = (-half..=half)
        .map(|n| {
            let angle = PI * corner * f64::from(n);
            let sinc = if n == 0 { 1.0 } else { angle.sin() / angle };
            sinc * (0.5 + 0.5 * (PI * f64::from(n) / f64::from(half + 1)).cos())
        })
        .collect();
    let total: f64 = low_pass.iter().sum();
    let mut taps: Vec<f32> = low_pass.iter().map(|tap| (-tap / total) as f32).collect();
    taps[half as usize] += 1.0;
    taps
}

/// The sound through a symmetric filter of odd length, without its delay.
fn filtered(audio: &[f32], taps: &[f32]) -> Vec<f32> {
    let half = taps.len() / 2;
    let mut padded = vec![0.0; audio.len() + taps.len() - 1];
    padded[half..half + audio.len()].copy_from_slice(audio);
    let mut output = vec![0.0; audio.len()];
    for (piece, output) in output.chunks_mut(PIECE_SAMPLES).enumerate() {
        let start = piece * PIECE_SAMPLES;
        for (shift, tap) in taps.iter().enumerate() {
            for (output, input) in output.iter_mut().zip(&padded[start + shift..]) {
                *output += tap * input;
            }
        }
    }
    output
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::near;
    use crate::measurement::voices::signals::{noise, power_db, sine};

    const RATE_HZ: f64 = 48_000.0;
    const SETTINGS: FixedSibilanceSettings = FixedSibilanceSettings {
        from_hz: 4500.0,
        threshold_db: -30.0,
        ratio: 4.0,
        range_db: 8.0,
        attack_ms: 1.0,
        release_ms: 40.0,
    };

    /// A sine whose mean square is `level_db`.
    fn tone(frequency_hz: f64, level_db: f64) -> Vec<f32> {
        let peak = 2_f64.sqrt() * 10_f64.powf(level_db / 20.0);
        let sine = sine(frequency_hz, RATE_HZ, 24_000).into_iter();
        sine.map(|sample| peak as f32 * sample).collect()
    }

    /// Change of the tone's power, dB, once the stage has settled.
    fn change_db(frequency_hz: f64, level_db: f64) -> f64 {
        let before = tone(frequency_hz, level_db);
        let after = tame(&before, RATE_HZ, &SETTINGS);
        power_db(&after[12_000..]) - power_db(&before[12_000..])
    }

    #[test]
    fn at_rest_the_sound_is_unchanged() {
        let quiet: Vec<f32> = noise(11).take(9600).map(|sample| 1e-3 * sample).collect();
        assert_eq!(tame(&quiet, RATE_HZ, &SETTINGS), quiet);
    }

    #[test]
    fn turns_the_band_down_by_threshold_ratio_and_range() {
        for (level_db, expected_db) in [(-40.0, 0.0), (-30.0, -0.5625), (-22.0, -6.0), (-10.0, -8.0)] {
            let change_db = change_db(8000.0, level_db);
            near(change_db, expected_db, 0.1, level_db);
        }
    }

    #[test]
    fn leaves_what_lies_below_the_band_alone() {
        let change_db = change_db(2500.0, -10.0);
        assert!(change_db.abs() < 0.05, "{change_db} dB");
    }

    #[test]
    fn the_bands_have_their_corner_at_half() {
        let band = filtered(&tone(4500.0, -10.0), &high_pass(RATE_HZ, 4500.0));
        let corner_db = power_db(&band[12_000..]) - power_db(&tone(4500.0, -10.0)[12_000..]);
        assert!((corner_db + 6.02).abs() < 0.1, "{corner_db} dB");
    }
}
