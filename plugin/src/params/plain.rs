//! Plain values, as hosts travel through them and songs save them, and the settings that they stand for.
//!
//! They are the same but for shares, which are plain in percent, and stops, which are plain a little beyond the range.

use std::ops::RangeInclusive;

use siskin_dsp::{ParamKind, ParamSpec};

/// Above this plain value a ratio is infinite; the last twentieth of a ratio's unit is that stop.
pub(super) const INFINITE_ABOVE_RATIO: f32 = 20.5;
/// Below this plain value a low cut is off.
pub(super) const OFF_BELOW_HZ: f32 = 38.0;
/// Ends of the travel, beyond the stops.
const INFINITE_RATIO: f32 = 21.0;
const OFF_HZ: f32 = 36.0;
const PERCENT: f32 = 100.0;

/// The setting that a plain value stands for.
pub(super) fn to_setting(kind: ParamKind, plain: f32) -> f32 {
    match kind {
        ParamKind::Share => plain / PERCENT,
        ParamKind::RatioOrInfinity if plain > INFINITE_ABOVE_RATIO => f32::INFINITY,
        ParamKind::HertzOrOff if plain < OFF_BELOW_HZ => 0.0,
        _ => plain,
    }
}

/// The plain value of a setting.
pub(super) fn from_setting(kind: ParamKind, setting: f32) -> f32 {
    match kind {
        ParamKind::Share => setting * PERCENT,
        ParamKind::RatioOrInfinity if setting == f32::INFINITY => INFINITE_RATIO,
        ParamKind::HertzOrOff if setting == 0.0 => OFF_HZ,
        _ => setting,
    }
}

/// The plain values of a parameter, its stop included.
pub(super) fn travel(spec: &ParamSpec) -> RangeInclusive<f32> {
    let plain = |setting| from_setting(spec.kind, setting);
    let (min, max) = (plain(spec.min), plain(spec.max));
    let stop = spec.kind.stop().map_or(min, plain);
    min.min(stop)..=max.max(stop)
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_dsp::PARAMETERS;

    #[test]
    fn every_setting_comes_back_from_its_plain_value() {
        for spec in &PARAMETERS {
            let travel = travel(spec);
            for setting in [spec.min, spec.default, spec.max]
                .into_iter()
                .chain(spec.kind.stop())
            {
                let plain = from_setting(spec.kind, setting);
                assert!(travel.contains(&plain), "{}: {plain}", spec.id);
                assert_eq!(to_setting(spec.kind, plain), setting, "{}", spec.id);
            }
        }
    }

    #[test]
    fn shares_are_plain_in_percent_and_stops_lie_beyond_the_range() {
        assert_eq!(to_setting(ParamKind::Share, 50.0), 0.5);
        assert_eq!(to_setting(ParamKind::RatioOrInfinity, 20.6), f32::INFINITY);
        assert_eq!(to_setting(ParamKind::RatioOrInfinity, 20.5), 20.5);
        assert_eq!(to_setting(ParamKind::Ratio, 20.6), 20.6);
        assert_eq!(to_setting(ParamKind::HertzOrOff, 37.9), 0.0);
        assert_eq!(to_setting(ParamKind::HertzOrOff, 38.0), 38.0);
    }
}
