//! A share that glides between 0 and 1: a switch without clicks.

use crate::clock::timing::Timing;
use crate::control::ramp::Ramp;
use crate::control::smoothing::{Glide, share};

/// A gliding share. It may change direction at any time. Shares of switches of which exactly one is on always add up to 1.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Crossfade {
    step_samples: usize,
    share: Glide,
    ramp: Ramp,
    /// The state that it has reached and rests in.
    resting: Option<bool>,
}

impl Crossfade {
    pub fn new(timing: Timing, on: bool) -> Self {
        Self {
            step_samples: timing.step_samples,
            share: Glide::new(timing, share(on)),
            ramp: Ramp::resting(share(on)),
            resting: Some(on),
        }
    }

    pub fn reset(&mut self, on: bool) {
        self.share.reset(share(on));
        self.ramp = Ramp::resting(share(on));
        self.resting = Some(on);
    }

    /// Moves one step towards on or off.
    #[inline]
    pub fn update_step(&mut self, on: bool) {
        if self.resting != Some(on) {
            self.fade(on);
        }
    }

    fn fade(&mut self, on: bool) {
        let next = self.share.step(share(on));
        self.ramp.continue_to(next, self.step_samples);
        self.resting = self.ramp.rests_at(share(on)).then_some(on);
    }

    /// The share during the step.
    pub fn ramp(&self) -> &Ramp {
        &self.ramp
    }
}
