//! The engine's own clock: everything is decided on a grid that starts at a reset and knows nothing of the host's
//! blocks, hence any block size gives the same output.

/// Control step at 48 kHz: 1/3 ms, short against the fastest attack that can be heard as one.
const STEP_SAMPLES_AT_48_KHZ: f64 = 16.0;
/// The control step at 384 kHz.
pub(crate) const LONGEST_STEP_SAMPLES: usize = 128;
/// Control steps in a hop of analysis: 4/3 ms, the grid on which a sibilant's onset is found.
pub(crate) const STEPS_PER_HOP: usize = 4;
/// Hops in a window of analysis: 5.3 ms, so that with the long lookahead a whole window's verdict is in before the
/// sound it speaks of leaves the delay.
pub(crate) const HOPS_PER_WINDOW: usize = 4;

/// Lengths in samples at one sample rate, and the conversions that follow from them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Timing {
    /// Samples a second.
    pub sample_rate_hz: f64,
    /// Samples between two updates of gains.
    pub step_samples: usize,
    /// Samples between two windows of analysis.
    pub hop_samples: usize,
    /// Samples in a window of analysis: a power of two, near 5.3 ms at any rate.
    pub window_samples: usize,
}

impl Timing {
    /// The clock at `sample_rate_hz`.
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

    /// From one bin of a spectrum to the next, Hz.
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

    /// What a one-pole keeps of its distance over one step, when `time_constant_ms` is the time to 63 %.
    pub fn step_decay(&self, time_constant_ms: f32) -> f32 {
        self.decay(self.step_samples, time_constant_ms)
    }

    /// What a one-pole keeps of its distance over one hop, when `time_constant_ms` is the time to 63 %.
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
    fn windows_last_about_as_long_at_every_rate() {
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
