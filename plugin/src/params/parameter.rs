//! A parameter of any kind with its row of the table: what the editor draws, the state saves and the engine is set by.

use nice_plug::plugin::ParamValue;
use nice_plug::prelude::*;
use siskin_dsp::{ParamKind, ParamSpec, Settings};

use super::build;
use super::plain::to_setting;
use super::text;

/// A parameter. The editor handles it by normalized values, 0 ... 1, and texts.
pub struct Parameter {
    spec: &'static ParamSpec,
    pub(super) param: AnyParam,
}

/// A parameter of the framework, of any kind.
pub(super) enum AnyParam {
    Number(FloatParam),
    Choice(IntParam),
    Switch(BoolParam),
}

/// Does the same with a parameter of any kind.
macro_rules! with {
    ($parameter:expr, $param:ident => $what:expr) => {
        match &$parameter.param {
            AnyParam::Number($param) => $what,
            AnyParam::Choice($param) => $what,
            AnyParam::Switch($param) => $what,
        }
    };
}

impl Parameter {
    pub(super) fn new(spec: &'static ParamSpec) -> Self {
        let param = match spec.kind {
            ParamKind::Switch => AnyParam::Switch(build::switch(spec)),
            ParamKind::Choice(_) => AnyParam::Choice(build::choice(spec)),
            _ => AnyParam::Number(build::number(spec)),
        };
        Self { spec, param }
    }

    /// Its row of the table.
    #[must_use]
    pub fn spec(&self) -> &'static ParamSpec {
        self.spec
    }

    /// The stable id.
    #[must_use]
    pub fn id(&self) -> &'static str {
        self.spec.id
    }

    pub(super) fn as_ptr(&self) -> ParamPtr {
        with!(self, param => param.as_ptr())
    }

    /// The plain value, modulation included.
    pub(super) fn plain(&self) -> f32 {
        match &self.param {
            AnyParam::Number(param) => param.value(),
            AnyParam::Choice(param) => param.value() as f32,
            AnyParam::Switch(param) => f32::from(u8::from(param.value())),
        }
    }

    /// Writes its value to the settings.
    pub(super) fn apply(&self, settings: &mut Settings) {
        (self.spec.set)(settings, to_setting(self.spec.kind, self.plain()));
    }

    /// How many steps it has between its ends, if they are few enough to choose from.
    #[must_use]
    pub fn steps(&self) -> Option<usize> {
        match &self.param {
            AnyParam::Number(_) => None,
            AnyParam::Choice(param) => param.step_count(),
            AnyParam::Switch(param) => param.step_count(),
        }
    }

    /// The value that is set.
    #[must_use]
    pub fn base(&self) -> f32 {
        with!(self, param => param.unmodulated_normalized_value())
    }

    /// The value that is heard: what is set and what the host modulates it by.
    #[must_use]
    pub fn heard(&self) -> f32 {
        with!(self, param => param.modulated_normalized_value())
    }

    /// The default.
    #[must_use]
    pub fn default(&self) -> f32 {
        with!(self, param => param.default_normalized_value())
    }

    /// The value that is set, as a song saves it.
    pub(super) fn value(&self) -> ParamValue {
        match &self.param {
            AnyParam::Number(param) => ParamValue::F32(param.unmodulated_plain_value()),
            AnyParam::Choice(param) => ParamValue::I32(param.unmodulated_plain_value()),
            AnyParam::Switch(param) => ParamValue::Bool(param.unmodulated_plain_value()),
        }
    }

    /// The default as a song saves it.
    pub(super) fn default_value(&self) -> ParamValue {
        match &self.param {
            AnyParam::Number(param) => ParamValue::F32(param.default_plain_value()),
            AnyParam::Choice(param) => ParamValue::I32(param.default_plain_value()),
            AnyParam::Switch(param) => ParamValue::Bool(param.default_plain_value()),
        }
    }

    /// A value as text, with its unit.
    #[must_use]
    pub fn text(&self, normalized: f32) -> String {
        with!(self, param => param.normalized_value_to_string(normalized, true))
    }

    /// Reads a value that was typed; `None` where it is no value of this parameter.
    #[must_use]
    pub fn read(&self, text: &str) -> Option<f32> {
        with!(self, param => param.string_to_normalized_value(text))
    }

    /// Reads a value that was typed and lies within the range; where it does not, an error says in a few words what does.
    pub fn read_in_range(&self, text: &str) -> Result<f32, String> {
        let value = self.read(text).filter(|_| text::is_in_range(self.spec, text));
        value.ok_or_else(|| text::accepted(self.spec))
    }

    /// The value that a song saved; `None` where it is of another kind.
    #[must_use]
    pub fn saved(&self, value: &ParamValue) -> Option<f32> {
        match (&self.param, value) {
            (AnyParam::Number(param), ParamValue::F32(value)) => Some(param.preview_normalized(*value)),
            (AnyParam::Choice(param), ParamValue::I32(value)) => Some(param.preview_normalized(*value)),
            (AnyParam::Switch(param), ParamValue::Bool(value)) => Some(param.preview_normalized(*value)),
            _ => None,
        }
    }

    /// The nearest value that it can have.
    #[must_use]
    pub fn snapped(&self, normalized: f32) -> f32 {
        let normalized = normalized.clamp(0.0, 1.0);
        with!(self, param => param.preview_normalized(param.preview_plain(normalized)))
    }

    /// The value a `share` of the way between two others, 0 to 1, by plain values, whatever the scale of its travel.
    #[must_use]
    pub fn between(&self, from: f32, to: f32, share: f32) -> f32 {
        let AnyParam::Number(param) = &self.param else {
            return from + share * (to - from);
        };
        let [from, to] = [from, to].map(|normalized| param.preview_plain(normalized.clamp(0.0, 1.0)));
        param.preview_normalized(from + share * (to - from))
    }

    /// Begins a gesture of a person for the host.
    pub fn begin(&self, setter: &ParamSetter<'_>) {
        with!(self, param => setter.begin_set_parameter(param));
    }

    /// Sets it, between `begin` and `end`.
    pub fn set(&self, setter: &ParamSetter<'_>, normalized: f32) {
        with!(self, param => setter.set_parameter_normalized(param, normalized));
    }

    /// Adds it to a page for hardware controllers.
    pub fn add_to(&self, page: &mut impl RemoteControlsPage) {
        with!(self, param => page.add_param(param));
    }

    /// Ends the gesture.
    pub fn end(&self, setter: &ParamSetter<'_>) {
        with!(self, param => setter.end_set_parameter(param));
    }
}
