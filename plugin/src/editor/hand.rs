//! The hand of a person on a parameter: every change goes to the host as a gesture that begins, sets and ends. There is
//! one hand, since there is one pointer; it lets go when the button is up, and when the window closes under it.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use nice_plug::context::gui::GuiContext;

use crate::params::{Control, Controls};

/// The hand.
pub struct Hand {
    host: GuiContext,
    params: Arc<dyn Controls>,
    /// What it holds, and where it has moved it.
    held: Option<(&'static str, f32)>,
}

impl Hand {
    /// A hand that holds nothing.
    pub fn new(host: GuiContext, params: Arc<dyn Controls>) -> Self {
        Self {
            host,
            params,
            held: None,
        }
    }

    /// Sets a value as one whole gesture, unless it stands there already.
    pub fn set(&self, control: &Control<'_>, normalized: f32) {
        let normalized = control.knob.snapped(normalized);
        if normalized == control.knob.base() {
            return;
        }
        let setter = self.host.param_setter();
        control.knob.begin(&setter);
        control.knob.set(&setter, normalized);
        control.knob.end(&setter);
    }

    /// Moves a value on by as much, as one whole gesture.
    pub fn nudge(&self, control: &Control<'_>, by: f32) {
        self.set(control, control.knob.base() + by);
    }

    /// Sets a value to its default, as one whole gesture.
    pub fn reset(&self, control: &Control<'_>) {
        self.set(control, control.knob.default());
    }

    /// Moves what is held by as much; takes hold of it first.
    pub fn drag(&mut self, control: &Control<'_>, by: f32) {
        if self.held.is_none_or(|(id, _)| id != control.id) {
            self.let_go();
            control.knob.begin(&self.host.param_setter());
            self.held = Some((control.id, control.knob.base()));
        }
        if let Some((_, at)) = &mut self.held {
            let before = control.knob.snapped(*at);
            *at += by;
            let now = control.knob.snapped(*at);
            if now != before {
                control.knob.set(&self.host.param_setter(), now);
            }
        }
    }

    /// What it holds.
    pub fn holds(&self, id: &str) -> bool {
        self.held.is_some_and(|(held, _)| held == id)
    }

    /// Ends the gesture that is open, if one is.
    pub fn let_go(&mut self) {
        let Some((held, _)) = self.held.take() else { return };
        for control in self.params.controls().iter().filter(|control| control.id == held) {
            control.knob.end(&self.host.param_setter());
        }
    }
}

impl Drop for Hand {
    fn drop(&mut self) {
        // A host that drops the plug-in under its open window leaves nobody to tell, and the framework panics then.
        let _nobody_to_tell = catch_unwind(AssertUnwindSafe(|| self.let_go())).is_err();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::editor::notebook::Notebook;
    use crate::params::{FollowParams, InsertParams};

    fn told(act: impl FnOnce(&mut Hand, &[Control<'_>])) -> Vec<String> {
        let params = Arc::new(InsertParams::<FollowParams>::default());
        let notebook = Notebook::of(&*params);
        let mut hand = Hand::new(notebook.host(), params.clone());
        act(&mut hand, &params.controls());
        drop(hand);
        notebook.read()
    }

    fn find<'a, 'b>(controls: &'a [Control<'b>], id: &str) -> &'a Control<'b> {
        controls.iter().find(|control| control.id == id).unwrap()
    }

    #[test]
    fn a_drag_is_one_gesture_and_ends_when_the_window_closes_under_it() {
        let lines = told(|hand, controls| {
            hand.drag(find(controls, "out_gain"), 0.1);
            hand.drag(find(controls, "out_gain"), 0.1);
            assert!(hand.holds("out_gain"));
        });
        assert_eq!(
            lines,
            ["begin out_gain", "out_gain 0.60", "out_gain 0.70", "end out_gain"]
        );
    }

    #[test]
    fn a_value_that_is_set_is_one_gesture_and_none_where_it_stands_there() {
        let lines = told(|hand, controls| {
            hand.set(find(controls, "bypass"), 1.0);
            hand.set(find(controls, "bypass"), 0.0);
            hand.reset(find(controls, "out_gain"));
            hand.nudge(find(controls, "out_gain"), 0.25);
        });
        assert_eq!(
            lines,
            [
                "begin bypass",
                "bypass 1.00",
                "end bypass",
                "begin out_gain",
                "out_gain 0.75",
                "end out_gain"
            ]
        );
    }

    #[test]
    fn whoever_takes_hold_of_another_lets_go_of_the_first() {
        let lines = told(|hand, controls| {
            hand.drag(find(controls, "out_gain"), 0.0);
            hand.drag(find(controls, "sib_prop"), 0.0);
            hand.let_go();
            hand.let_go();
        });
        assert_eq!(
            lines,
            ["begin out_gain", "end out_gain", "begin sib_prop", "end sib_prop"]
        );
    }
}
