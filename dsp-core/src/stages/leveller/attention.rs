//! When the leveller listens: its gain stands still while anything but a voice sounds.

use crate::clock::timing::Timing;
use crate::report::Class;

/// How long a quiet must last before it is a rest: longer than the closure of a stop, so that the burst that follows
/// is not lifted.
const REST_MS: f32 = 250.0;

/// What the gain may do in a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Attention {
    /// Follow the level of the voice.
    Voice,
    /// Stand still.
    Still,
    /// Recover slowly: nobody sings.
    Rest,
}

/// The memory behind it.
pub(crate) struct AttentionSpan {
    delayed_steps: usize,
    rest_steps: usize,
    quiet_steps: usize,
    still_steps: usize,
}

impl AttentionSpan {
    /// For a sound that leaves a delay of `lookahead_samples` after it was heard.
    pub fn new(timing: Timing, lookahead_samples: usize) -> Self {
        Self {
            delayed_steps: lookahead_samples.div_ceil(timing.step_samples),
            rest_steps: timing.steps(REST_MS),
            quiet_steps: 0,
            still_steps: 0,
        }
    }

    pub fn reset(&mut self) {
        (self.quiet_steps, self.still_steps) = (0, 0);
    }

    /// One step, from the class of the last window.
    pub fn step(&mut self, class: Class) -> Attention {
        self.quiet_steps = if class == Class::Quiet {
            self.quiet_steps + 1
        } else {
            0
        };
        self.still_steps = self.still_steps.saturating_sub(1);
        match class {
            Class::Sibilant | Class::Breath => {
                // What is heard to end now is still in the delay: a gain that moved for what follows would move it too.
                self.still_steps = self.delayed_steps;
                Attention::Still
            }
            Class::Quiet if self.quiet_steps >= self.rest_steps => Attention::Rest,
            Class::Voice if self.still_steps == 0 => Attention::Voice,
            _ => Attention::Still,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn last(span: &mut AttentionSpan, class: Class, steps: usize) -> Attention {
        (0..steps).map(|_| span.step(class)).last().expect("steps")
    }

    #[test]
    fn what_follows_a_sibilant_waits_until_it_has_left_the_delay() {
        let mut span = AttentionSpan::new(Timing::new(48_000.0), 240);
        assert_eq!(last(&mut span, Class::Voice, 1), Attention::Voice);
        assert_eq!(last(&mut span, Class::Sibilant, 90), Attention::Still);
        assert_eq!(last(&mut span, Class::Voice, 14), Attention::Still);
        assert_eq!(last(&mut span, Class::Voice, 1), Attention::Voice);
        let mut without = AttentionSpan::new(Timing::new(48_000.0), 0);
        assert_eq!(last(&mut without, Class::Sibilant, 90), Attention::Still);
        assert_eq!(last(&mut without, Class::Voice, 1), Attention::Voice);
    }

    #[test]
    fn a_closure_is_no_rest() {
        let mut span = AttentionSpan::new(Timing::new(48_000.0), 240);
        last(&mut span, Class::Voice, 1);
        assert_eq!(last(&mut span, Class::Quiet, 700), Attention::Still);
        assert_eq!(last(&mut span, Class::Quiet, 60), Attention::Rest);
        assert_eq!(last(&mut span, Class::Breath, 1), Attention::Still);
    }
}
