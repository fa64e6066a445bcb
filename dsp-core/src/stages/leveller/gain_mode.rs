//! Decides when the leveller's gain may move: it is held while anything but a voice sounds.

use crate::clock::timing::Timing;
use crate::report::Class;

/// How long silence must last to count as a rest: longer than the closure of a stop, so that its burst is not raised.
const REST_MS: f32 = 250.0;

/// How the gain moves in a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum GainMode {
    /// Follow the level of the voice.
    Follow,
    /// Keep the gain.
    Hold,
    /// Recover slowly: nobody sings.
    Recover,
}

/// Selects the mode from the classes of the last hops.
pub(crate) struct GainModeSelector {
    lookahead_steps: usize,
    rest_steps: usize,
    quiet_steps: usize,
    hold_steps: usize,
}

impl GainModeSelector {
    /// For a delay of `lookahead_samples` between analysis and output.
    pub fn new(timing: Timing, lookahead_samples: usize) -> Self {
        Self {
            lookahead_steps: lookahead_samples.div_ceil(timing.step_samples),
            rest_steps: timing.steps(REST_MS),
            quiet_steps: 0,
            hold_steps: 0,
        }
    }

    pub fn reset(&mut self) {
        (self.quiet_steps, self.hold_steps) = (0, 0);
    }

    /// The mode of the next step, from the class of the last window.
    pub fn update_step(&mut self, class: Class) -> GainMode {
        self.quiet_steps = if class == Class::Quiet {
            self.quiet_steps + 1
        } else {
            0
        };
        self.hold_steps = self.hold_steps.saturating_sub(1);
        match class {
            Class::Sibilant | Class::Breath => {
                // When it ends it is still in the delay: the gain must not move for what follows until it has left.
                self.hold_steps = self.lookahead_steps;
                GainMode::Hold
            }
            Class::Quiet if self.quiet_steps >= self.rest_steps => GainMode::Recover,
            Class::Voice if self.hold_steps == 0 => GainMode::Follow,
            _ => GainMode::Hold,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn last(selector: &mut GainModeSelector, class: Class, steps: usize) -> GainMode {
        (0..steps)
            .map(|_| selector.update_step(class))
            .last()
            .expect("steps")
    }

    #[test]
    fn the_gain_is_held_until_a_sibilant_has_left_the_delay() {
        let mut selector = GainModeSelector::new(Timing::new(48_000.0), 240);
        assert_eq!(last(&mut selector, Class::Voice, 1), GainMode::Follow);
        assert_eq!(last(&mut selector, Class::Sibilant, 90), GainMode::Hold);
        assert_eq!(last(&mut selector, Class::Voice, 14), GainMode::Hold);
        assert_eq!(last(&mut selector, Class::Voice, 1), GainMode::Follow);
        let mut without = GainModeSelector::new(Timing::new(48_000.0), 0);
        assert_eq!(last(&mut without, Class::Sibilant, 90), GainMode::Hold);
        assert_eq!(last(&mut without, Class::Voice, 1), GainMode::Follow);
    }

    #[test]
    fn a_stop_closure_is_not_a_rest() {
        let mut selector = GainModeSelector::new(Timing::new(48_000.0), 240);
        last(&mut selector, Class::Voice, 1);
        assert_eq!(last(&mut selector, Class::Quiet, 700), GainMode::Hold);
        assert_eq!(last(&mut selector, Class::Quiet, 60), GainMode::Recover);
        assert_eq!(last(&mut selector, Class::Breath, 1), GainMode::Hold);
    }
}
