//! The values of a parameter as text, by what its values are.

use siskin_dsp::{ParamKind, ParamSpec};

use super::plain::{from_setting, to_setting};
use super::readout;

/// A plain value as text.
pub(super) fn write(spec: &ParamSpec, plain: f32) -> String {
    match spec.kind {
        ParamKind::Switch => readout::switch(plain > 0.5),
        ParamKind::Choice(names) => names.get(plain as usize).copied().unwrap_or_default().to_owned(),
        ParamKind::Level(unit) => readout::level(plain, unit),
        ParamKind::Milliseconds => readout::milliseconds(plain),
        ParamKind::Hertz => readout::hertz(plain),
        ParamKind::HertzOrOff if is_stop(spec, plain) => readout::switch(false),
        ParamKind::HertzOrOff => readout::hertz(plain.max(spec.min)),
        ParamKind::Share => readout::percent(plain),
        ParamKind::Ratio => readout::ratio(plain),
        ParamKind::RatioOrInfinity if is_stop(spec, plain) => readout::INFINITE_RATIO.to_owned(),
        ParamKind::RatioOrInfinity => readout::ratio(plain.min(spec.max)),
    }
}

/// The plain value that a text stands for. It may lie outside the range.
pub(super) fn read(spec: &ParamSpec, text: &str) -> Option<f32> {
    let stop = || spec.kind.stop().map(|stop| from_setting(spec.kind, stop));
    match spec.kind {
        ParamKind::Switch => readout::read_switch(text).map(|on| f32::from(u8::from(on))),
        ParamKind::Choice(names) => readout::read_choice(text, names).map(|index| index as f32),
        ParamKind::Level(_) => readout::read_level(text),
        ParamKind::Milliseconds => readout::read_milliseconds(text),
        ParamKind::Hertz => readout::read_hertz(text),
        ParamKind::HertzOrOff if readout::read_switch(text) == Some(false) => stop(),
        ParamKind::HertzOrOff => readout::read_hertz(text).map(|hz| hz.max(spec.min)),
        ParamKind::Share => readout::read_percent(text),
        ParamKind::Ratio => readout::read_ratio(text),
        ParamKind::RatioOrInfinity if readout::reads_infinite(text) => stop(),
        ParamKind::RatioOrInfinity => readout::read_ratio(text).map(|ratio| ratio.min(spec.max)),
    }
}

/// Whether a text that can be read stands for a value within the range.
pub(super) fn is_in_range(spec: &ParamSpec, text: &str) -> bool {
    let stop = spec.kind.stop().map(|stop| from_setting(spec.kind, stop));
    let is_stop = stop.is_some() && read(spec, text) == stop;
    // Not clamped, other than by `read`.
    let typed = match spec.kind {
        ParamKind::HertzOrOff => readout::read_hertz(text),
        ParamKind::RatioOrInfinity => readout::read_ratio(text),
        _ => read(spec, text),
    };
    let [least, most] = [spec.min, spec.max].map(|setting| from_setting(spec.kind, setting));
    // A unit that is converted may miss an end by a rounding error.
    let rounding = 1e-5 * most.abs().max(least.abs());
    is_stop || typed.is_some_and(|plain| (least - rounding..=most + rounding).contains(&plain))
}

/// What can be typed, in a few words.
pub(super) fn accepted(spec: &ParamSpec) -> String {
    let end = |setting| write(spec, from_setting(spec.kind, setting));
    let range = format!("{} to {}", end(spec.min), end(spec.max));
    match spec.kind {
        ParamKind::Switch => "on or off".to_owned(),
        ParamKind::Choice(names) => names.join(", "),
        ParamKind::HertzOrOff => format!("{range}, or off"),
        ParamKind::RatioOrInfinity => format!("{range}, or inf"),
        _ => range,
    }
}

fn is_stop(spec: &ParamSpec, plain: f32) -> bool {
    spec.kind.stop() == Some(to_setting(spec.kind, plain))
}
