//! Shares that glide between 0 and 1: switches without clicks.

use crate::clock::timing::Timing;
use crate::control::ramp::Ramp;
use crate::control::smoothing::{Glide, share};

/// One share. It may turn around at any point of its way; shares of which always one is on add up to 1.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Crossfade {
    step_samples: usize,
    share: Glide,
    ramp: Ramp,
    /// Where it has come to rest.
    rests: Option<bool>,
}

impl Crossfade {
    pub fn new(timing: Timing, on: bool) -> Self {
        Self {
            step_samples: timing.step_samples,
            share: Glide::new(timing, share(on)),
            ramp: Ramp::resting(share(on)),
            rests: Some(on),
        }
    }

    pub fn reset(&mut self, on: bool) {
        self.share.reset(share(on));
        self.ramp = Ramp::resting(share(on));
        self.rests = Some(on);
    }

    /// One step towards on or off.
    pub fn step(&mut self, on: bool) {
        if self.rests == Some(on) {
            return;
        }
        let next = self.share.step(share(on));
        self.ramp.continue_to(next, self.step_samples);
        self.rests = self.ramp.rests_at(share(on)).then_some(on);
    }

    /// The share over the step.
    pub fn ramp(&self) -> &Ramp {
        &self.ramp
    }
}
