//! Parameter changes by the user. Each reaches the host as a gesture: begin, set, end.

use std::cell::RefCell;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use nice_plug::context::gui::GuiContext;

use super::ui_context::FINE;
use crate::editor::model::undo::{Change, UndoHistory};
use crate::params::{InsertParams, Parameter};

/// Sends gestures to the host. One drag at a time, since there is one pointer; it ends when the button is released or
/// the window closes.
pub struct ParamGestures {
    host: GuiContext,
    params: Arc<InsertParams>,
    dragged: Option<Drag>,
    /// Whether drags are ten times finer.
    is_fine: bool,
    undo: RefCell<UndoHistory>,
}

/// A drag in progress.
#[derive(Debug, Clone, Copy)]
struct Drag {
    id: &'static str,
    /// Normalized, when the drag began.
    before: f32,
    /// Normalized, before snapping to steps and ends.
    value: f32,
    /// While it is fine.
    fine: Option<Fine>,
}

/// A part of a drag in which the value moves by a tenth of the pointer's way, in plain values: by normalized ones it would be
/// less than a tenth at one end of a curved scale and more at the other.
#[derive(Debug, Clone, Copy)]
struct Fine {
    /// Normalized, where it began.
    from: f32,
    /// Normalized, where a coarse drag would be.
    to: f32,
}

impl ParamGestures {
    /// Without a drag.
    pub fn new(host: GuiContext, params: Arc<InsertParams>) -> Self {
        Self {
            host,
            params,
            dragged: None,
            is_fine: false,
            undo: RefCell::default(),
        }
    }

    /// Begins a frame, in which drags are ten times finer where `is_fine`. What changes in it is one step to undo.
    pub fn begin_frame(&mut self, is_fine: bool) {
        self.is_fine = is_fine;
        self.undo.get_mut().close_step();
    }

    /// Undoes the last step, one gesture for each parameter.
    pub fn undo(&mut self) {
        self.end_drag();
        let values = self.undo.get_mut().undo();
        self.send(&values);
    }

    /// Redoes the step that was undone last.
    pub fn redo(&mut self) {
        self.end_drag();
        let values = self.undo.get_mut().redo();
        self.send(&values);
    }

    fn send(&self, values: &[(&'static str, f32)]) {
        for &(id, normalized) in values {
            if let Some(control) = self.params.parameter(id) {
                self.send_value(control, normalized);
            }
        }
    }

    /// Sets a value as one gesture, unless it is set already.
    pub fn set(&self, control: &Parameter, normalized: f32) {
        let before = control.base();
        self.send_value(control, normalized);
        self.record(control, before, control.snapped(normalized));
    }

    fn record(&self, control: &Parameter, before: f32, after: f32) {
        let id = control.id();
        self.undo.borrow_mut().add(Change { id, before, after });
    }

    fn send_value(&self, control: &Parameter, normalized: f32) {
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

    /// Moves the dragged value by a normalized amount, a tenth of it while drags are fine; begins the drag if necessary.
    pub fn drag(&mut self, control: &Parameter, by: f32) {
        if !self.is_dragging(control.id()) {
            self.end_drag();
            control.begin(&self.host.param_setter());
            self.dragged = Some(Drag {
                id: control.id(),
                before: control.base(),
                value: control.base(),
                fine: None,
            });
        }
        if let Some(drag) = &mut self.dragged {
            let before = control.snapped(drag.value);
            if self.is_fine {
                let from = drag.value;
                let fine = drag.fine.get_or_insert(Fine { from, to: from });
                fine.to += by;
                drag.value = control.between(fine.from, fine.to, FINE);
            } else {
                drag.fine = None;
                drag.value += by;
            }
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
        if let Some(control) = self.params.parameter(drag.id) {
            control.end(&self.host.param_setter());
            self.record(control, drag.before, control.snapped(drag.value));
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
    fn undo_and_redo_are_gestures_too() {
        let params = Arc::new(InsertParams::of::<Plain>());
        let host = RecordingHost::new(&*params);
        let mut gestures = ParamGestures::new(host.context(), params.clone());
        let controls = params.parameters();
        gestures.begin_frame(false);
        gestures.set(find(controls, "bypass"), 1.0);
        host.take_lines();
        gestures.undo();
        // The recorded value is not applied here, so that undo finds the default and sends nothing.
        gestures.redo();
        assert_eq!(host.take_lines(), ["begin bypass", "bypass 1.00", "end bypass"]);
        gestures.begin_frame(false);
        gestures.drag(find(controls, "out_gain"), 0.1);
        gestures.drag(find(controls, "out_gain"), 0.1);
        gestures.end_drag();
        host.take_lines();
        gestures.undo();
        gestures.redo();
        assert_eq!(
            host.take_lines(),
            ["begin out_gain", "out_gain 0.70", "end out_gain"]
        );
    }

    #[test]
    fn a_fine_drag_goes_a_tenth_of_the_way_on_a_curved_scale() {
        let params = Arc::new(InsertParams::of::<Plain>());
        let host = RecordingHost::new(&*params);
        let follow = params.parameter("fol_time").unwrap();
        let ms =
            |normalized: f32| crate::params::readout::read_milliseconds(&follow.text(normalized)).unwrap();
        let moved = |is_fine: bool| {
            let mut gestures = ParamGestures::new(host.context(), params.clone());
            gestures.begin_frame(is_fine);
            (0..4).for_each(|_| gestures.drag(follow, 0.06));
            ms(gestures.dragged.unwrap().value) - ms(follow.base())
        };
        let (coarse, fine) = (moved(false), moved(true));
        assert!((coarse / fine - 10.0).abs() < 0.2, "{coarse} ms, {fine} ms");
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
