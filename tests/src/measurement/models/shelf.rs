//! The textbook high shelf.

use std::f64::consts::{SQRT_2, TAU};

/// A high shelf of the Audio EQ Cookbook (R. Bristow-Johnson; W3C Note 2021) with slope S = 1: `gain_db` far above
/// `corner_hz`, half of it at the corner.
#[must_use]
pub fn high_shelf(audio: &[f32], sample_rate_hz: f64, corner_hz: f64, gain_db: f64) -> Vec<f32> {
    let amplitude = 10_f64.powf(gain_db / 40.0);
    let (sine, cosine) = (TAU * corner_hz / sample_rate_hz).sin_cos();
    // With S = 1 the cookbook's alpha is sin(w0) / 2 x sqrt(2).
    let width = 2.0 * amplitude.sqrt() * sine * SQRT_2 / 2.0;
    let (more, less) = (amplitude + 1.0, amplitude - 1.0);
    let b = [
        amplitude * (more + less * cosine + width),
        -2.0 * amplitude * (less + more * cosine),
        amplitude * (more + less * cosine - width),
    ];
    let a = [
        more - less * cosine + width,
        2.0 * (less - more * cosine),
        more - less * cosine - width,
    ];
    filter(audio, b.map(|b| b / a[0]), a.map(|own| own / a[0]))
}

/// Direct form I, with `a[0]` = 1.
fn filter(audio: &[f32], b: [f64; 3], a: [f64; 3]) -> Vec<f32> {
    let (mut inputs, mut outputs) = ([0.0; 2], [0.0; 2]);
    audio
        .iter()
        .map(|&sample| {
            let input = f64::from(sample);
            let output =
                b[0] * input + b[1] * inputs[0] + b[2] * inputs[1] - a[1] * outputs[0] - a[2] * outputs[1];
            inputs = [input, inputs[0]];
            outputs = [output, outputs[0]];
            output as f32
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const RATE_HZ: f64 = 48_000.0;

    /// Gain of the shelf at a frequency, dB, from its impulse response.
    fn gain_at_db(frequency_hz: f64, gain_db: f64) -> f64 {
        let mut impulse = [0.0; 4800];
        impulse[0] = 1.0;
        let (real, imaginary) = high_shelf(&impulse, RATE_HZ, 6000.0, gain_db)
            .iter()
            .enumerate()
            .map(|(n, &sample)| {
                let (sine, cosine) = (TAU * frequency_hz * n as f64 / RATE_HZ).sin_cos();
                (f64::from(sample) * cosine, f64::from(sample) * sine)
            })
            .fold((0.0, 0.0), |sum, part| (sum.0 + part.0, sum.1 + part.1));
        10.0 * (real * real + imaginary * imaginary).log10()
    }

    // Audio EQ Cookbook, closed form: 6 kHz, S = 1, 48 kHz. A boost is the cut turned over.
    #[test]
    fn reads_the_closed_form() {
        for (frequency_hz, cut_db) in [
            (3000.0, -0.324),
            (6000.0, -3.0),
            (8000.0, -4.699),
            (12_000.0, -5.816),
        ] {
            assert!(
                (gain_at_db(frequency_hz, -6.0) - cut_db).abs() < 1e-3,
                "{frequency_hz} Hz"
            );
            assert!(
                (gain_at_db(frequency_hz, 6.0) + cut_db).abs() < 1e-3,
                "{frequency_hz} Hz"
            );
        }
    }

    #[test]
    fn no_gain_is_the_identity() {
        let audio: Vec<f32> = crate::measurement::voices::signals::noise(7).take(480).collect();
        let shelved = high_shelf(&audio, RATE_HZ, 6000.0, 0.0);
        assert!(crate::measurement::levels::residual_db(&audio, &shelved) < -120.0);
    }
}
