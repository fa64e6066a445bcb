//! Bypass: a fade between the processed voice and the delayed input. The latency does not change.

use crate::clock::timing::Timing;
use crate::control::crossfade::Crossfade;
use crate::primitives::frame::Frame;

/// The bypass switch.
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

    /// Sets the target of the fade for the next step.
    pub fn update_step(&mut self, on: bool) {
        self.fade.update_step(on);
    }

    /// True if the delayed input is audible in this step.
    pub fn is_active(&self) -> bool {
        !self.fade.ramp().rests_at(0.0)
    }

    /// Fades `frames` towards `dry`; the first frame is sample `index` of the step. At both ends of the fade every bit is that of
    /// the source.
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
