//! Listen: the output, what is removed from it, or what the detector hears. None is louder than the voice that it is
//! taken from, and each fades into the next.

use crate::clock::timing::Timing;
use crate::control::crossfade::Crossfade;
use crate::primitives::frame::Frame;
use crate::primitives::state_variable::{HighPass, Memory, MovingHighPass};
use crate::settings::{Listen, Settings};

/// The fades and the detector's filter.
pub(crate) struct ListenSwitch {
    step_samples: usize,
    removed: Crossfade,
    detector: Crossfade,
    high_pass: MovingHighPass,
    /// None while nobody listens to the detector.
    filter: Option<Memory>,
}

/// What follows from the settings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ListenPlan {
    listen: Listen,
    high_pass: HighPass,
}

impl ListenPlan {
    pub fn new(settings: &Settings, timing: Timing) -> Self {
        Self {
            listen: settings.output.listen,
            high_pass: HighPass::new(f64::from(settings.sibilance.from_hz), timing.sample_rate_hz),
        }
    }
}

impl ListenSwitch {
    pub fn new(timing: Timing, plan: &ListenPlan) -> Self {
        Self {
            step_samples: timing.step_samples,
            removed: Crossfade::new(timing, plan.listen == Listen::Removed),
            detector: Crossfade::new(timing, plan.listen == Listen::Detector),
            high_pass: MovingHighPass::resting(plan.high_pass),
            filter: None,
        }
    }

    pub fn reset(&mut self, plan: &ListenPlan) {
        self.removed.reset(plan.listen == Listen::Removed);
        self.detector.reset(plan.listen == Listen::Detector);
        self.high_pass = MovingHighPass::resting(plan.high_pass);
        self.filter = None;
    }

    /// Moves the fades to the end of the coming step.
    pub fn step(&mut self, plan: &ListenPlan) {
        self.removed.step(plan.listen == Listen::Removed);
        self.detector.step(plan.listen == Listen::Detector);
        self.high_pass.continue_to(plan.high_pass);
        self.filter.iter_mut().for_each(Memory::flush_denormals);
    }

    /// Whether anything but the output is heard in this step.
    pub fn is_heard(&self) -> bool {
        !(self.removed.ramp().rests_at(0.0) && self.detector.ramp().rests_at(0.0))
    }

    /// Replaces the output by what is listened to, in frames that start at `index` within the step. `levelled` is
    /// the voice as it leaves the leveller.
    pub fn process(&mut self, frames: &mut [Frame], levelled: &[Frame], index: usize) {
        let (removed, detector) = (*self.removed.ramp(), *self.detector.ramp());
        if detector.rests_at(0.0) {
            self.filter = None;
        }
        if !self.is_heard() {
            return;
        }
        for (n, (frame, &levelled)) in frames.iter_mut().zip(levelled).enumerate() {
            let (removed, detector) = (removed.at(index + n), detector.at(index + n));
            let detected = if detector == 0.0 {
                Frame::ZERO
            } else {
                self.detected(levelled, index + n)
            };
            *frame =
                *frame * (1.0 - removed - detector) + (levelled - *frame) * removed + detected * detector;
        }
    }

    /// One sample of the voice above `Detect from`. The fade is hardly open at the first, so that it does not matter that
    /// the filter knows nothing of what came before but where it ended.
    fn detected(&mut self, levelled: Frame, index: usize) -> Frame {
        let memory = self.filter.get_or_insert_with(|| Memory::settled_at(levelled));
        let share = f64::from(index as u32 + 1) / self.step_samples as f64;
        self.high_pass.at(share).process(memory, levelled)
    }
}
