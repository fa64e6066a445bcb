//! A gain that is decided before its sound leaves the delay.

use crate::control::ramp::Ramp;

/// The targets that are still to come, and the ramp through those that are heard.
pub(crate) struct DelayedGain {
    targets: Vec<f64>,
    next: usize,
    ramp: Ramp,
}

impl DelayedGain {
    pub fn new(delay_steps: usize) -> Self {
        Self {
            targets: vec![1.0; delay_steps],
            next: 0,
            ramp: Ramp::resting(1.0),
        }
    }

    /// The gain rests at a value.
    pub fn reset(&mut self, gain: f64) {
        self.targets.fill(gain);
        self.next = 0;
        self.ramp = Ramp::resting(gain);
    }

    /// Starts a step: `target` is the newest, the one before the delay is heard.
    pub fn update_step(&mut self, target: f64, step_samples: usize) {
        let heard = std::mem::replace(&mut self.targets[self.next], target);
        self.next = (self.next + 1) % self.targets.len();
        self.ramp.continue_to(heard, step_samples);
    }

    /// The gain that is heard in this step.
    pub fn ramp(&self) -> &Ramp {
        &self.ramp
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_target_is_heard_after_the_delay() {
        let mut delayed = DelayedGain::new(5);
        let mut plain = Ramp::resting(1.0);
        let targets: Vec<f64> = (0..30).map(|step| 1.0 + f64::from(step)).collect();
        for (step, &target) in targets.iter().enumerate() {
            delayed.update_step(target, 16);
            plain.continue_to(if step < 5 { 1.0 } else { targets[step - 5] }, 16);
            assert_eq!(delayed.ramp, plain, "step {step}");
        }
    }
}
