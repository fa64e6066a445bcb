//! Settings that take effect later than they are set, by the time between analysis and output, so that automation stays in step
//! with the song.

use std::collections::VecDeque;

use crate::clock::timing::Timing;
use crate::control::plan::Plan;
use crate::settings::Settings;

/// The settings that are still to come, and the plan of those that are heard.
pub(crate) struct DelayedPlan {
    plan: Plan,
    /// Settings with the step at which they were set. A step sets once, so there are never more than steps of delay.
    coming: VecDeque<(u64, Settings)>,
    delay_steps: u64,
    step: u64,
}

impl DelayedPlan {
    pub fn new(plan: &Plan, delay_steps: usize) -> Self {
        Self {
            plan: *plan,
            coming: VecDeque::with_capacity(delay_steps + 1),
            delay_steps: delay_steps as u64,
            step: 0,
        }
    }

    /// The settings of `plan` are heard at once.
    pub fn reset(&mut self, plan: &Plan) {
        self.plan = *plan;
        self.coming.clear();
        self.step = 0;
    }

    /// Ends a step; `changed` are settings that begin with it.
    pub fn update_step(&mut self, changed: Option<&Settings>, timing: Timing) {
        if let Some(settings) = changed {
            self.coming.push_back((self.step + self.delay_steps, *settings));
        }
        if let Some((_, settings)) = self.coming.pop_front_if(|(due, _)| *due <= self.step) {
            self.plan.update(&settings, timing);
        }
        self.step += 1;
    }

    /// The plan of what is heard.
    pub fn heard(&self) -> &Plan {
        &self.plan
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn settings_are_heard_after_the_delay_and_in_order() {
        let timing = Timing::new(48_000.0);
        let plan = |gain_db: f32| {
            let mut settings = Settings::default();
            settings.output.gain_db = gain_db;
            Plan::new(&settings, timing)
        };
        let mut delayed = DelayedPlan::new(&plan(0.0), 10);
        let mut heard = Vec::new();
        for step in 0..40 {
            let changed = plan(step as f32);
            delayed.update_step((step % 3 == 0).then_some(&changed.settings), timing);
            heard.push(delayed.heard().settings.output.gain_db);
        }
        for (step, &gain_db) in heard.iter().enumerate() {
            let expected = if step < 10 { 0 } else { (step - 10) / 3 * 3 };
            assert_eq!(gain_db, expected as f32, "step {step}");
        }
        delayed.reset(&plan(-3.0));
        assert_eq!(*delayed.heard(), plan(-3.0));
    }
}
