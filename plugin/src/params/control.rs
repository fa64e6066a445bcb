//! A parameter of any kind, with its id: what the editor draws and the state knows.

use nice_plug::plugin::ParamValue;
use nice_plug::prelude::*;

/// A group of controls.
pub struct Group<'a> {
    /// The name of the stage.
    pub name: &'static str,
    /// Its controls, in the order in which they are read.
    pub controls: Vec<Control<'a>>,
}

/// A parameter and its id.
pub struct Control<'a> {
    /// The stable id.
    pub id: &'static str,
    /// The parameter.
    pub knob: Knob<'a>,
}

/// A parameter of any kind.
#[derive(Clone, Copy)]
pub enum Knob<'a> {
    /// A number.
    Value(&'a FloatParam),
    /// One of several names.
    Choice(&'a IntParam),
    /// On or off.
    Switch(&'a BoolParam),
}

impl<'a> Control<'a> {
    pub(super) fn value(id: &'static str, param: &'a FloatParam) -> Self {
        Self {
            id,
            knob: Knob::Value(param),
        }
    }

    pub(super) fn choice(id: &'static str, param: &'a IntParam) -> Self {
        Self {
            id,
            knob: Knob::Choice(param),
        }
    }

    pub(super) fn switch(id: &'static str, param: &'a BoolParam) -> Self {
        Self {
            id,
            knob: Knob::Switch(param),
        }
    }
}

/// Does the same with a parameter of any kind.
macro_rules! with {
    ($knob:expr, $param:ident => $what:expr) => {
        match $knob {
            Knob::Value($param) => $what,
            Knob::Choice($param) => $what,
            Knob::Switch($param) => $what,
        }
    };
}

/// A parameter as its editor handles it: by normalized values, 0 ... 1, and texts.
impl<'a> Knob<'a> {
    /// Its name.
    pub fn title(self) -> &'a str {
        with!(self, param => param.name())
    }

    /// How many steps it has between its ends, if it has steps.
    pub fn steps(self) -> Option<usize> {
        match self {
            // A number's steps are too many to be chosen from.
            Knob::Value(_) => None,
            Knob::Choice(param) => param.step_count(),
            Knob::Switch(param) => param.step_count(),
        }
    }

    /// The value that is set.
    pub fn base(self) -> f32 {
        with!(self, param => param.unmodulated_normalized_value())
    }

    /// The value that is heard: what is set and what the host modulates it by.
    pub fn heard(self) -> f32 {
        with!(self, param => param.modulated_normalized_value())
    }

    /// The default.
    pub fn default(self) -> f32 {
        with!(self, param => param.default_normalized_value())
    }

    /// A value in words, with its unit.
    pub fn text(self, normalized: f32) -> String {
        with!(self, param => param.normalized_value_to_string(normalized, true))
    }

    /// Reads a value that was typed.
    pub fn read(self, text: &str) -> Option<f32> {
        with!(self, param => param.string_to_normalized_value(text))
    }

    /// The value that a saved plain value stands for, if it is one of this kind.
    pub fn saved(self, value: &ParamValue) -> Option<f32> {
        match (self, value) {
            (Knob::Value(param), ParamValue::F32(value)) => Some(param.preview_normalized(*value)),
            (Knob::Choice(param), ParamValue::I32(value)) => Some(param.preview_normalized(*value)),
            (Knob::Switch(param), ParamValue::Bool(value)) => Some(param.preview_normalized(*value)),
            _ => None,
        }
    }

    /// The nearest value that it can have.
    pub fn snapped(self, normalized: f32) -> f32 {
        let normalized = normalized.clamp(0.0, 1.0);
        with!(self, param => param.preview_normalized(param.preview_plain(normalized)))
    }

    /// Tells the host that a person takes hold of it.
    pub fn begin(self, setter: &ParamSetter<'_>) {
        with!(self, param => setter.begin_set_parameter(param));
    }

    /// Sets it, between `begin` and `end`.
    pub fn set(self, setter: &ParamSetter<'_>, normalized: f32) {
        with!(self, param => setter.set_parameter_normalized(param, normalized));
    }

    /// Tells the host that the person lets go.
    pub fn end(self, setter: &ParamSetter<'_>) {
        with!(self, param => setter.end_set_parameter(param));
    }
}
