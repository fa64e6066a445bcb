//! A parameter of any kind, with its id: what the editor draws and the state knows.

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
