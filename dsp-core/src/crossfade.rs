//! Shares that move in straight lines between 0 and 1: switches without clicks.

use crate::ramp::Ramp;
use crate::timing::Timing;

/// Long enough that no switch clicks, short enough that it feels at once.
const FADE_MS: f64 = 20.0;

/// One share.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Crossfade {
    step_samples: usize,
    per_step: f64,
    share: f64,
    ramp: Ramp,
}

impl Crossfade {
    pub fn new(timing: Timing, on: bool) -> Self {
        let steps = FADE_MS * 1e-3 * timing.sample_rate_hz / timing.step_samples as f64;
        let share = f64::from(u8::from(on));
        Self {
            step_samples: timing.step_samples,
            per_step: 1.0 / steps,
            share,
            ramp: Ramp::resting(share),
        }
    }

    pub fn reset(&mut self, on: bool) {
        self.share = f64::from(u8::from(on));
        self.ramp = Ramp::resting(self.share);
    }

    /// One step towards on or off.
    pub fn step(&mut self, on: bool) {
        let change = if on { self.per_step } else { -self.per_step };
        self.share = (self.share + change).clamp(0.0, 1.0);
        self.ramp.continue_to(self.share, self.step_samples);
    }

    /// The share over the step.
    pub fn ramp(&self) -> &Ramp {
        &self.ramp
    }
}
