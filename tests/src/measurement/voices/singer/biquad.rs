//! The filters that shape noise.

use std::f64::consts::TAU;

/// A filter of second order, by the formulas of Bristow-Johnson's cookbook.
pub struct Biquad {
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
