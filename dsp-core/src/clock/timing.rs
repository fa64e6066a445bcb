//! The grid of control steps, hops and analysis windows. It does not depend on the host's blocks, so every block size gives
//! the same output.

/// Control step at 48 kHz: 1/3 ms, short against the fastest audible attack.
const STEP_SAMPLES_AT_48_KHZ: f64 = 16.0;
/// The control step at 384 kHz.
pub(crate) const LONGEST_STEP_SAMPLES: usize = 128;
/// Control steps per hop of analysis. A hop is 4/3 ms: the time resolution of a sibilant's onset.
pub(crate) const STEPS_PER_HOP: usize = 4;
/// Hops per analysis window. A window is 5.3 ms: with the long lookahead it is analysed before its samples leave the
/// delay.
pub(crate) const HOPS_PER_WINDOW: usize = 4;

/// Lengths in samples at one sample rate, and conversions between units of time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Timing {
    /// Samples per second.
    pub sample_rate_hz: f64,
    /// Samples per control step: gains have one target per step.
    pub step_samples: usize,
    /// Samples per hop: from one analysis window to the next.
    pub hop_samples: usize,
    /// Samples per analysis window: a power of two, near 5.3 ms at any rate.
    pub window_samples: usize,
}

impl Timing {
    /// The timing at `sample_rate_hz`.
    pub fn new(sample_rate_hz: f64) -> Self {
        let octaves_from_48_khz = (sample_rate_hz / 48_000.0).log2().round();
        let step_samples = (STEP_SAMPLES_AT_48_KHZ * octaves_from_48_khz.exp2())
            .clamp(4.0, LONGEST_STEP_SAMPLES as f64) as usize;
        let hop_samples = STEPS_PER_HOP * step_samples;
        Self {
            sample_rate_hz,
            step_samples,
            hop_samples,
            window_samples: HOPS_PER_WINDOW * hop_samples,
        }
    }

    /// Bins in a spectrum of one window.
    pub fn bins(&self) -> usize {
        self.window_samples / 2 + 1
    }

    /// Width of a bin of a spectrum, Hz.
    pub fn bin_hz(&self) -> f64 {
        self.sample_rate_hz / self.window_samples as f64
    }

    /// Control steps in `time_ms`, at least one.
    pub fn steps(&self, time_ms: f32) -> usize {
        ((f64::from(time_ms) * 1e-3 * self.sample_rate_hz / self.step_samples as f64).round() as usize).max(1)
    }

    /// Hops in `time_ms`, at least one.
    pub fn hops(&self, time_ms: f32) -> usize {
        ((f64::from(time_ms) * 1e-3 * self.sample_rate_hz / self.hop_samples as f64).round() as usize).max(1)
    }

    /// The factor of a one-pole per step; `time_constant_ms` is the time to 63 %.
    pub fn step_decay(&self, time_constant_ms: f32) -> f32 {
        self.decay(self.step_samples, time_constant_ms)
    }

    /// The factor of a one-pole per hop; `time_constant_ms` is the time to 63 %.
    pub fn hop_decay(&self, time_constant_ms: f32) -> f32 {
        self.decay(self.hop_samples, time_constant_ms)
    }

    fn decay(&self, samples: usize, time_constant_ms: f32) -> f32 {
        (-(samples as f64) / (f64::from(time_constant_ms) * 1e-3 * self.sample_rate_hz)).exp() as f32
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn window_length_is_similar_at_every_rate() {
        for rate_hz in [
            44_100.0, 44_123.45, 48_000.0, 88_200.0, 96_000.0, 176_400.0, 192_000.0,
        ] {
            let timing = Timing::new(rate_hz);
            let window_ms = 1e3 * timing.window_samples as f64 / rate_hz;
            assert!(timing.window_samples.is_power_of_two());
            assert!((5.2..5.9).contains(&window_ms), "{window_ms} ms at {rate_hz} Hz");
        }
    }
}
