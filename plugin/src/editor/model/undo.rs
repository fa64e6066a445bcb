//! What the user changed in the editor, step by step, to undo and redo.

/// Steps that are kept.
const MAX_STEPS: usize = 200;

/// A change of one parameter by the user, normalized.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Id of the parameter.
    pub id: &'static str,
    /// Value before.
    pub before: f32,
    /// Value after.
    pub after: f32,
}

/// The steps. What changes in one frame is one step: a starting point sets many parameters at once.
#[derive(Debug, Clone, Default)]
pub struct UndoHistory {
    steps: Vec<Vec<Change>>,
    /// Steps that are not undone.
    done: usize,
    /// Whether the next change begins a new step.
    is_closed: bool,
}

impl UndoHistory {
    /// Ends the current step.
    pub fn close_step(&mut self) {
        self.is_closed = true;
    }

    /// Adds a change to the current step. What was undone cannot be redone any more.
    pub fn add(&mut self, change: Change) {
        if change.before == change.after {
            return;
        }
        if self.steps.len() > self.done {
            self.steps.truncate(self.done);
            self.is_closed = true;
        }
        match self.steps.last_mut() {
            Some(step) if !self.is_closed => step.push(change),
            _ => self.steps.push(vec![change]),
        }
        self.is_closed = false;
        if self.steps.len() > MAX_STEPS {
            self.steps.remove(0);
        }
        self.done = self.steps.len();
    }

    /// Undoes a step: ids with the values to set, last change first.
    pub fn undo(&mut self) -> Vec<(&'static str, f32)> {
        let Some(step) = self.done.checked_sub(1).and_then(|last| self.steps.get(last)) else {
            return Vec::new();
        };
        self.done -= 1;
        step.iter()
            .rev()
            .map(|change| (change.id, change.before))
            .collect()
    }

    /// Redoes a step: ids with the values to set.
    pub fn redo(&mut self) -> Vec<(&'static str, f32)> {
        let Some(step) = self.steps.get(self.done) else {
            return Vec::new();
        };
        self.done += 1;
        step.iter().map(|change| (change.id, change.after)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn change(id: &'static str, before: f32, after: f32) -> Change {
        Change { id, before, after }
    }

    #[test]
    fn steps_are_undone_and_redone_in_order() {
        let mut history = UndoHistory::default();
        assert!(history.undo().is_empty() && history.redo().is_empty());
        history.add(change("a", 0.0, 0.5));
        history.add(change("b", 1.0, 0.0));
        history.close_step();
        history.add(change("a", 0.5, 0.7));
        history.add(change("c", 0.2, 0.2));
        assert_eq!(history.undo(), [("a", 0.5)]);
        assert_eq!(history.undo(), [("b", 1.0), ("a", 0.0)]);
        assert!(history.undo().is_empty());
        assert_eq!(history.redo(), [("a", 0.5), ("b", 0.0)]);
        history.add(change("c", 0.0, 1.0));
        assert!(history.redo().is_empty(), "a new change ends what can be redone");
        assert_eq!(history.undo(), [("c", 0.0)]);
        assert_eq!(history.undo(), [("b", 1.0), ("a", 0.0)]);
    }

    #[test]
    fn the_oldest_steps_are_forgotten() {
        let mut history = UndoHistory::default();
        for _ in 0..2 * MAX_STEPS {
            history.add(change("a", 0.0, 1.0));
            history.close_step();
        }
        let undone = (0..3 * MAX_STEPS).filter(|_| !history.undo().is_empty()).count();
        assert_eq!(undone, MAX_STEPS);
    }
}
