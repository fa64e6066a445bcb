//! What the table makes of whole settings: their defaults.

use super::table::PARAMETERS;
use crate::settings::{
    BreathSettings, FollowSettings, LevellerSettings, OutputSettings, Settings, SibilanceSettings,
};

impl Default for Settings {
    fn default() -> Self {
        let mut settings = Self::ZERO;
        for spec in &PARAMETERS {
            (spec.set)(&mut settings, spec.default);
        }
        settings
    }
}

macro_rules! default_of_stage {
    ($($settings:ty: $stage:ident),*) => {
        $(impl Default for $settings {
            fn default() -> Self {
                Settings::default().$stage
            }
        })*
    };
}

default_of_stage!(
    LevellerSettings: leveller,
    SibilanceSettings: sibilance,
    FollowSettings: follow,
    BreathSettings: breath,
    OutputSettings: output
);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::parameters::spec::ParamSpec;
    use std::collections::HashSet;

    #[test]
    fn every_default_lies_in_its_range() {
        for spec in &PARAMETERS {
            assert!(spec.min < spec.max, "{}", spec.id);
            assert_eq!(spec.clamped(spec.default, f32::NAN), spec.default, "{}", spec.id);
            assert_eq!(spec.clamped(f32::NAN, spec.max), spec.max, "{}", spec.id);
        }
    }

    #[test]
    fn ids_and_names_are_different_and_every_parameter_has_help() {
        let ids: HashSet<_> = PARAMETERS.iter().map(|spec| spec.id).collect();
        let names: HashSet<_> = PARAMETERS.iter().map(|spec| spec.name).collect();
        assert_eq!((ids.len(), names.len()), (PARAMETERS.len(), PARAMETERS.len()));
        assert!(PARAMETERS.iter().all(|spec| spec.help.len() > 10));
    }

    #[test]
    fn each_parameter_has_a_setting_of_its_own() {
        let ends = |pick: fn(&ParamSpec) -> f32| {
            let mut settings = Settings::ZERO;
            for spec in &PARAMETERS {
                (spec.set)(&mut settings, pick(spec));
            }
            settings
        };
        let (low, high) = (ends(|spec| spec.min), ends(|spec| spec.max));
        for spec in PARAMETERS
            .iter()
            .filter(|spec| !["look", "chan"].contains(&spec.id))
        {
            assert_eq!((spec.get)(&low), spec.min, "{}", spec.id);
            assert_eq!((spec.get)(&high), spec.max, "{}", spec.id);
            let mut changed = low;
            (spec.set)(&mut changed, spec.max);
            let others = PARAMETERS.iter().filter(|other| other.id != spec.id);
            for other in others {
                assert_eq!(
                    (other.get)(&changed),
                    (other.get)(&low),
                    "{} and {}",
                    spec.id,
                    other.id
                );
            }
        }
    }
}
