//! How a parameter of each kind is built: its travel, its read-out and its text entry.

use std::sync::Arc;

use nice_plug::prelude::*;

use crate::readout;

/// Levels snap to this, so that "0 dB" after any automation is 0 dB exactly and the output is the input, bit for bit.
const LEVEL_STEP_DB: f32 = 0.01;

/// Above this plain value the sibilance ratio is infinite; the last twentieth of a ratio's unit is that stop.
pub const INFINITE_ABOVE_RATIO: f32 = 20.5;

/// Below this plain value the breath's low cut is off.
pub const CUT_OFF_BELOW_HZ: f32 = 38.0;

/// Ends of the travel that lie beyond the stops.
const INFINITE_RATIO: f32 = 21.0;
const CUT_OFF_HZ: f32 = 36.0;

/// A travel on which the middle is the geometric mean of the ends, as times and frequencies are heard.
fn geometric(min: f32, max: f32) -> FloatRange {
    let middle = ((min * max).sqrt() - min) / (max - min);
    FloatRange::Skewed {
        min,
        max,
        factor: 0.5f32.ln() / middle.ln(),
    }
}

fn with_text(
    param: FloatParam,
    write: impl Fn(f32) -> String + Send + Sync + 'static,
    read: impl Fn(&str) -> Option<f32> + Send + Sync + 'static,
) -> FloatParam {
    param
        .with_value_to_string(Arc::new(write))
        .with_string_to_value(Arc::new(read))
}

/// A level in `unit` (dB, LU or LUFS).
pub fn level(name: &str, (min, max): (f32, f32), default: f32, unit: &'static str) -> FloatParam {
    let param = FloatParam::new(name, default, FloatRange::Linear { min, max }).with_step_size(LEVEL_STEP_DB);
    with_text(
        param,
        move |value| readout::level(value, unit),
        readout::read_level,
    )
}

/// A time in ms.
pub fn milliseconds(name: &str, (min, max): (f32, f32), default: f32) -> FloatParam {
    let param = FloatParam::new(name, default, geometric(min, max));
    with_text(param, readout::milliseconds, readout::read_milliseconds)
}

/// A frequency in Hz.
pub fn hertz(name: &str, (min, max): (f32, f32), default: f32) -> FloatParam {
    let param = FloatParam::new(name, default, geometric(min, max));
    with_text(param, readout::hertz, readout::read_hertz)
}

/// A share in percent.
pub fn percent(name: &str, default: f32) -> FloatParam {
    let param = FloatParam::new(name, default, FloatRange::Linear { min: 0.0, max: 100.0 });
    with_text(param, readout::percent, readout::read_percent)
}

/// A ratio, 1 ... 20 to one.
pub fn ratio(name: &str, default: f32) -> FloatParam {
    let param = FloatParam::new(name, default, geometric(1.0, 20.0));
    with_text(param, readout::ratio, readout::read_ratio)
}

/// A ratio, 1 ... 20 to one, then infinity.
pub fn ratio_to_infinity(name: &str, default: f32) -> FloatParam {
    let write = |value: f32| {
        if value > INFINITE_ABOVE_RATIO {
            readout::INFINITE_RATIO.to_owned()
        } else {
            readout::ratio(value.min(20.0))
        }
    };
    let read = |text: &str| {
        if readout::reads_infinite(text) {
            return Some(INFINITE_RATIO);
        }
        readout::read_ratio(text).map(|ratio| ratio.min(20.0))
    };
    with_text(
        FloatParam::new(name, default, geometric(1.0, INFINITE_RATIO)),
        write,
        read,
    )
}

/// A low cut: off, then 40 ... 1000 Hz. Off by default.
pub fn low_cut(name: &str) -> FloatParam {
    let write = |value: f32| {
        if value < CUT_OFF_BELOW_HZ {
            readout::switch(false)
        } else {
            readout::hertz(value.max(40.0))
        }
    };
    let read = |text: &str| match readout::read_switch(text) {
        Some(false) => Some(CUT_OFF_HZ),
        _ => readout::read_hertz(text).map(|hz| hz.max(40.0)),
    };
    with_text(
        FloatParam::new(name, CUT_OFF_HZ, geometric(CUT_OFF_HZ, 1000.0)),
        write,
        read,
    )
}

/// A switch.
pub fn switch(name: &str, default: bool) -> BoolParam {
    BoolParam::new(name, default)
        .with_value_to_string(Arc::new(readout::switch))
        .with_string_to_value(Arc::new(readout::read_switch))
}

/// One of `names`, saved by its index: names may be reworded or appended, never reordered. An integer parameter and
/// not the framework's enum, whose text entry takes the exact spelling only.
pub fn choice(name: &str, names: &'static [&'static str], default: i32) -> IntParam {
    let max = names.len() as i32 - 1;
    IntParam::new(name, default, IntRange::Linear { min: 0, max })
        .with_value_to_string(Arc::new(move |index| {
            names.get(index as usize).copied().unwrap_or_default().to_owned()
        }))
        .with_string_to_value(Arc::new(move |text| {
            readout::read_choice(text, names).map(|index| index as i32)
        }))
}
