//! Shares that glide between 0 and 1: switches without clicks.

use crate::ramp::Ramp;
use crate::smoothing::{Glide, share};
use crate::timing::Timing;

/// One share. It may turn around at any point of its way; shares of which always one is on add up to 1.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Crossfade {
    step_samples: usize,
    share: Glide,
    ramp: Ramp,
}

impl Crossfade {
    pub fn new(timing: Timing, on: bool) -> Self {
        Self {
            step_samples: timing.step_samples,
            share: Glide::new(timing, share(on)),
            ramp: Ramp::resting(share(on)),
        }
    }

    pub fn reset(&mut self, on: bool) {
        self.share.reset(share(on));
        self.ramp = Ramp::resting(share(on));
    }

    /// One step towards on or off.
    pub fn step(&mut self, on: bool) {
        let next = self.share.step(share(on));
        self.ramp.continue_to(next, self.step_samples);
    }

    /// The share over the step.
    pub fn ramp(&self) -> &Ramp {
        &self.ramp
    }
}
