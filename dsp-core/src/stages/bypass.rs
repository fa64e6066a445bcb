//! Bypass: a fade between the processed voice and the delayed input, with the latency kept.

use crate::clock::timing::Timing;
use crate::control::crossfade::Crossfade;
use crate::primitives::frame::Frame;

/// The fade.
pub(crate) struct Bypass {
    fade: Crossfade,
}

impl Bypass {
    pub fn new(timing: Timing, on: bool) -> Self {
        Self {
            fade: Crossfade::new(timing, on),
        }
    }

    pub fn reset(&mut self, on: bool) {
        self.fade.reset(on);
    }

    /// Moves the fade to the end of the coming step.
    pub fn step(&mut self, on: bool) {
        self.fade.step(on);
    }

    /// Whether anything of the dry sound is heard in this step.
    pub fn is_heard(&self) -> bool {
        !self.fade.ramp().rests_at(0.0)
    }

    /// Fades towards `dry` in frames that start at `index` within the step; at both ends every bit is the source's.
    pub fn process(&self, frames: &mut [Frame], dry: &[Frame], index: usize) {
        let share = self.fade.ramp();
        if share.rests_at(0.0) {
            return;
        }
        if share.rests_at(1.0) {
            frames.copy_from_slice(dry);
            return;
        }
        for (n, (frame, &dry)) in frames.iter_mut().zip(dry).enumerate() {
            *frame += Frame::splat(share.at(index + n)) * (dry - *frame);
        }
    }
}
