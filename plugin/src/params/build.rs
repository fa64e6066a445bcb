//! How a row of the table becomes a parameter of the framework: its travel, its steps, its texts and its flags.

use std::sync::Arc;

use nice_plug::prelude::*;
use siskin_dsp::{ParamKind, ParamSpec};

use super::plain::{from_setting, travel};
use super::text;

/// A number.
pub(super) fn number(spec: &'static ParamSpec) -> FloatParam {
    let (min, max) = travel(spec).into_inner();
    let range = match spec.kind {
        ParamKind::Level(_) | ParamKind::Share => FloatRange::Linear { min, max },
        _ => geometric(min, max),
    };
    let param = FloatParam::new(spec.name, from_setting(spec.kind, spec.default), range)
        .with_value_to_string(Arc::new(|plain| text::write(spec, plain)))
        .with_string_to_value(Arc::new(|typed| text::read(spec, typed)));
    let param = match spec.kind.step() {
        Some(step) => param.with_step_size(step),
        None => param,
    };
    if spec.automatable {
        param
    } else {
        param.non_automatable()
    }
}

/// A choice. An integer parameter and not the framework's enum, whose text entry takes the exact spelling only.
pub(super) fn choice(spec: &'static ParamSpec) -> IntParam {
    let range = IntRange::Linear {
        min: spec.min as i32,
        max: spec.max as i32,
    };
    let param = IntParam::new(spec.name, spec.default as i32, range)
        .with_value_to_string(Arc::new(|index| text::write(spec, index as f32)))
        .with_string_to_value(Arc::new(|typed| {
            text::read(spec, typed).map(|index| index as i32)
        }));
    if spec.automatable {
        param
    } else {
        param.non_automatable()
    }
}

/// A switch.
pub(super) fn switch(spec: &'static ParamSpec) -> BoolParam {
    let param = BoolParam::new(spec.name, spec.default > 0.5)
        .with_value_to_string(Arc::new(|on| text::write(spec, f32::from(u8::from(on)))))
        .with_string_to_value(Arc::new(|typed| text::read(spec, typed).map(|on| on > 0.5)));
    let param = if spec.is_bypass {
        param.make_bypass()
    } else {
        param
    };
    if spec.automatable {
        param
    } else {
        param.non_automatable()
    }
}

/// A travel on which the middle is the geometric mean of the ends, as times and frequencies are heard.
fn geometric(min: f32, max: f32) -> FloatRange {
    let middle = ((min * max).sqrt() - min) / (max - min);
    FloatRange::Skewed {
        min,
        max,
        factor: 0.5f32.ln() / middle.ln(),
    }
}
