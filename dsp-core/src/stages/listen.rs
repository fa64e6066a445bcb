//! Listen: plays the output, the removed part, or the input of the detector. None is louder than the voice it is derived
//! from, and switching fades.

use crate::clock::timing::Timing;
use crate::control::crossfade::Crossfade;
use crate::primitives::frame::Frame;
use crate::primitives::state_variable::{FilterState, HighPass, MovingHighPass};
use crate::settings::{Listen, Settings};

/// The Listen switch: its fades and the detector's filter.
pub(crate) struct ListenSwitch {
    step_samples: usize,
    removed: Crossfade,
    detector: Crossfade,
    /// `None` until the detector is played.
    high_pass: Option<MovingHighPass>,
    /// `None` while the detector is not played.
    filter: Option<FilterState>,
}

/// Constants derived from the settings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ListenPlan {
    listen: Listen,
    /// The detector's filter, if that is played.
    high_pass: Option<HighPass>,
}

impl ListenPlan {
    pub fn new(settings: &Settings, timing: Timing) -> Self {
        let listen = settings.output.listen;
        let from_hz = f64::from(settings.sibilance.from_hz);
        Self {
            listen,
            high_pass: (listen == Listen::Detector).then(|| HighPass::new(from_hz, timing.sample_rate_hz)),
        }
    }
}

impl ListenSwitch {
    pub fn new(timing: Timing, plan: &ListenPlan) -> Self {
        Self {
            step_samples: timing.step_samples,
            removed: Crossfade::new(timing, plan.listen == Listen::Removed),
            detector: Crossfade::new(timing, plan.listen == Listen::Detector),
            high_pass: plan.high_pass.map(MovingHighPass::resting),
            filter: None,
        }
    }

    pub fn reset(&mut self, plan: &ListenPlan) {
        self.removed.reset(plan.listen == Listen::Removed);
        self.detector.reset(plan.listen == Listen::Detector);
        self.high_pass = plan.high_pass.map(MovingHighPass::resting);
        self.filter = None;
    }

    /// Sets the targets of the fades for the next step.
    pub fn update_step(&mut self, plan: &ListenPlan) {
        self.removed.update_step(plan.listen == Listen::Removed);
        self.detector.update_step(plan.listen == Listen::Detector);
        match (&mut self.high_pass, plan.high_pass) {
            (Some(moving), Some(to)) => moving.continue_to(to),
            // While it fades out, it rests.
            (Some(moving), None) => moving.continue_to(*moving.end()),
            (none, to) => *none = to.map(MovingHighPass::resting),
        }
        if self.detector.ramp().rests_at(0.0) {
            (self.high_pass, self.filter) = (None, None);
        }
        self.filter.iter_mut().for_each(FilterState::flush_denormals);
    }

    /// True if anything but the output is audible in this step.
    pub fn is_active(&self) -> bool {
        !(self.removed.ramp().rests_at(0.0) && self.detector.ramp().rests_at(0.0))
    }

    /// Replaces the output by the selected signal; the first frame is sample `index` of the step. `levelled` is the output of
    /// the leveller.
    pub fn process(&mut self, frames: &mut [Frame], levelled: &[Frame], index: usize) {
        if !self.is_active() {
            return;
        }
        let (removed, detector) = (*self.removed.ramp(), *self.detector.ramp());
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

    /// One sample of the voice above `Detect from`. The filter starts from the current value only; the fade is almost closed
    /// then, so this is inaudible.
    fn detected(&mut self, levelled: Frame, index: usize) -> Frame {
        let memory = self
            .filter
            .get_or_insert_with(|| FilterState::settled_at(levelled));
        let share = f64::from(index as u32 + 1) / self.step_samples as f64;
        self.high_pass.as_ref().map_or(Frame::ZERO, |high_pass| {
            high_pass.at(share).process(memory, levelled)
        })
    }
}
