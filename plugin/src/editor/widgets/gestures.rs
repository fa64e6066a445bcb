//! Parameter changes by the user. Each reaches the host as a gesture: begin, set, end.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use nice_plug::context::gui::GuiContext;

use crate::params::{InsertParams, Parameter};

/// Sends gestures to the host. One drag at a time, since there is one pointer; it ends when the button is released or
/// the window closes.
pub struct ParamGestures {
    host: GuiContext,
    params: Arc<InsertParams>,
    dragged: Option<Drag>,
}

/// A drag in progress.
#[derive(Debug, Clone, Copy)]
struct Drag {
    id: &'static str,
    /// Normalized, before snapping to steps and ends.
    value: f32,
}

impl ParamGestures {
    /// Without a drag.
    pub fn new(host: GuiContext, params: Arc<InsertParams>) -> Self {
        Self {
            host,
            params,
            dragged: None,
        }
    }

    /// Sets a value as one gesture, unless it is set already.
    pub fn set(&self, control: &Parameter, normalized: f32) {
        let normalized = control.snapped(normalized);
        if normalized == control.base() {
            return;
        }
        let setter = self.host.param_setter();
        control.begin(&setter);
        control.set(&setter, normalized);
        control.end(&setter);
    }

    /// Changes a value by a normalized amount, as one gesture.
    pub fn nudge(&self, control: &Parameter, by: f32) {
        self.set(control, control.base() + by);
    }

    /// Resets a value to its default, as one gesture.
    pub fn reset(&self, control: &Parameter) {
        self.set(control, control.default());
    }

    /// Moves the dragged value by a normalized amount; begins the drag if necessary.
    pub fn drag(&mut self, control: &Parameter, by: f32) {
        if !self.is_dragging(control.id()) {
            self.end_drag();
            control.begin(&self.host.param_setter());
            self.dragged = Some(Drag {
                id: control.id(),
                value: control.base(),
            });
        }
        if let Some(drag) = &mut self.dragged {
            let before = control.snapped(drag.value);
            drag.value += by;
            let now = control.snapped(drag.value);
            if now != before {
                control.set(&self.host.param_setter(), now);
            }
        }
    }

    /// Whether this control is being dragged.
    pub fn is_dragging(&self, id: &str) -> bool {
        self.dragged.is_some_and(|drag| drag.id == id)
    }

    /// Ends the drag, if there is one.
    pub fn end_drag(&mut self) {
        let Some(drag) = self.dragged.take() else { return };
        for control in self
            .params
            .parameters()
            .iter()
            .filter(|control| control.id() == drag.id)
        {
            control.end(&self.host.param_setter());
        }
    }
}

impl Drop for ParamGestures {
    fn drop(&mut self) {
        // The framework panics where a host destroys the plug-in under its open window: there is no host to notify.
        let _host_is_gone = catch_unwind(AssertUnwindSafe(|| self.end_drag())).is_err();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::editor::widgets::recording_host::RecordingHost;
    use crate::kind::Plain;

    fn recorded(act: impl FnOnce(&mut ParamGestures, &[Parameter])) -> Vec<String> {
        let params = Arc::new(InsertParams::of::<Plain>());
        let host = RecordingHost::new(&*params);
        let mut gestures = ParamGestures::new(host.context(), params.clone());
        act(&mut gestures, params.parameters());
        drop(gestures);
        host.take_lines()
    }

    fn find<'a>(controls: &'a [Parameter], id: &str) -> &'a Parameter {
        controls.iter().find(|control| control.id() == id).unwrap()
    }

    #[test]
    fn a_drag_is_one_gesture_and_ends_when_the_window_closes() {
        let lines = recorded(|gestures, controls| {
            gestures.drag(find(controls, "out_gain"), 0.1);
            gestures.drag(find(controls, "out_gain"), 0.1);
            assert!(gestures.is_dragging("out_gain"));
        });
        assert_eq!(
            lines,
            ["begin out_gain", "out_gain 0.60", "out_gain 0.70", "end out_gain"]
        );
    }

    #[test]
    fn setting_a_value_is_one_gesture_and_none_if_unchanged() {
        let lines = recorded(|gestures, controls| {
            gestures.set(find(controls, "bypass"), 1.0);
            gestures.set(find(controls, "bypass"), 0.0);
            gestures.reset(find(controls, "out_gain"));
            gestures.nudge(find(controls, "out_gain"), 0.25);
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
    fn dragging_another_control_ends_the_first_drag() {
        let lines = recorded(|gestures, controls| {
            gestures.drag(find(controls, "out_gain"), 0.0);
            gestures.drag(find(controls, "sib_prop"), 0.0);
            gestures.end_drag();
            gestures.end_drag();
        });
        assert_eq!(
            lines,
            ["begin out_gain", "end out_gain", "begin sib_prop", "end sib_prop"]
        );
    }
}
