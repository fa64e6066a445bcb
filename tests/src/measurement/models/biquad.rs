//! The textbook filters of second order, for everything that is measured or sung.

use std::f64::consts::{SQRT_2, TAU};

/// A filter of second order in transposed direct form II, by the formulas of the Audio EQ Cookbook (R. Bristow-Johnson;
/// W3C Note 2021).
#[derive(Debug, Clone)]
pub(crate) struct Biquad {
    forward: [f64; 3],
    backward: [f64; 2],
    state: [f64; 2],
}

impl Biquad {
    fn new(forward: [f64; 3], hz: f64, quality: f64, sample_rate_hz: f64) -> Self {
        let angle = TAU * hz / sample_rate_hz;
        let alpha = angle.sin() / (2.0 * quality);
        let scale = 1.0 / (1.0 + alpha);
        Self {
            forward: forward.map(|coefficient| coefficient * scale),
            backward: [-2.0 * angle.cos() * scale, (1.0 - alpha) * scale],
            state: [0.0; 2],
        }
    }

    /// With these coefficients in powers of z^-1.
    pub fn of(forward: [f64; 3], backward: [f64; 3]) -> Self {
        let [a0, a1, a2] = backward;
        Self {
            forward: forward.map(|coefficient| coefficient / a0),
            backward: [a1 / a0, a2 / a0],
            state: [0.0; 2],
        }
    }

    /// A high shelf with slope S = 1: `gain_db` far above `hz`, half of it at `hz`.
    pub fn high_shelf(hz: f64, gain_db: f64, sample_rate_hz: f64) -> Self {
        let amplitude = 10_f64.powf(gain_db / 40.0);
        let (sine, cosine) = (TAU * hz / sample_rate_hz).sin_cos();
        // With S = 1 the cookbook's alpha is sin(w0) / 2 x sqrt(2).
        let width = 2.0 * amplitude.sqrt() * sine * SQRT_2 / 2.0;
        let (more, less) = (amplitude + 1.0, amplitude - 1.0);
        let forward = [
            amplitude * (more + less * cosine + width),
            -2.0 * amplitude * (less + more * cosine),
            amplitude * (more + less * cosine - width),
        ];
        let backward = [
            more - less * cosine + width,
            2.0 * (less - more * cosine),
            more - less * cosine - width,
        ];
        Self::of(forward, backward)
    }

    /// Lets pass what lies below `hz`.
    pub fn low_pass(hz: f64, quality: f64, sample_rate_hz: f64) -> Self {
        let rise = 1.0 - (TAU * hz / sample_rate_hz).cos();
        Self::new([0.5 * rise, rise, 0.5 * rise], hz, quality, sample_rate_hz)
    }

    /// Lets pass what lies above `hz`.
    pub fn high_pass(hz: f64, quality: f64, sample_rate_hz: f64) -> Self {
        let rise = 1.0 + (TAU * hz / sample_rate_hz).cos();
        Self::new([0.5 * rise, -rise, 0.5 * rise], hz, quality, sample_rate_hz)
    }

    /// Lets pass what lies about `hz`, at gain 1 there.
    pub fn band_pass(hz: f64, quality: f64, sample_rate_hz: f64) -> Self {
        let alpha = (TAU * hz / sample_rate_hz).sin() / (2.0 * quality);
        Self::new([alpha, 0.0, -alpha], hz, quality, sample_rate_hz)
    }

    /// One sample through it.
    pub fn process(&mut self, input: f64) -> f64 {
        let output = self.forward[0] * input + self.state[0];
        self.state[0] = self.forward[1] * input - self.backward[0] * output + self.state[1];
        self.state[1] = self.forward[2] * input - self.backward[1] * output;
        output
    }
}

/// A sound through a high shelf.
pub fn high_shelf(audio: &[f32], sample_rate_hz: f64, corner_hz: f64, gain_db: f64) -> Vec<f32> {
    let mut shelf = Biquad::high_shelf(corner_hz, gain_db, sample_rate_hz);
    let shelved = audio
        .iter()
        .map(|&sample| shelf.process(f64::from(sample)) as f32);
    shelved.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::near;

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
            near(gain_at_db(frequency_hz, -6.0), cut_db, 1e-3, frequency_hz);
            near(gain_at_db(frequency_hz, 6.0), -cut_db, 1e-3, frequency_hz);
        }
    }

    #[test]
    fn no_gain_is_the_identity() {
        let audio: Vec<f32> = crate::measurement::voices::signals::noise(7).take(480).collect();
        let shelved = high_shelf(&audio, RATE_HZ, 6000.0, 0.0);
        assert!(crate::measurement::levels::residual_db(&audio, &shelved) < -120.0);
    }
}
