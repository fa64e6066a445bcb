//! Constants derived from the settings (exponentials, tangents, ranges of bins), computed only when a setting changes.

use crate::clock::timing::Timing;
use crate::primitives::decibels::gain_from_db;
use crate::settings::Settings;
use crate::stages::breath::BreathPlan;
use crate::stages::leveller::LevellerPlan;
use crate::stages::listen::ListenPlan;
use crate::stages::sibilance::SibilancePlan;

/// The constants of every stage for the current settings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Plan {
    pub settings: Settings,
    pub leveller: LevellerPlan,
    pub follow_hops: usize,
    pub sibilance: SibilancePlan,
    pub breath: BreathPlan,
    pub listen: ListenPlan,
    pub output_gain: f64,
}

impl Plan {
    pub fn new(settings: &Settings, timing: Timing) -> Self {
        Self {
            settings: *settings,
            leveller: LevellerPlan::new(&settings.leveller, timing),
            follow_hops: timing.hops(settings.follow.time_ms),
            sibilance: SibilancePlan::new(&settings.sibilance, timing),
            breath: BreathPlan::new(&settings.breath, timing),
            listen: ListenPlan::new(settings, timing),
            output_gain: gain_from_db(settings.output.gain_db),
        }
    }

    /// Takes changed settings; recomputes only the stages that they affect.
    pub fn update(&mut self, settings: &Settings, timing: Timing) {
        let last = &self.settings;
        if settings.leveller != last.leveller {
            self.leveller = LevellerPlan::new(&settings.leveller, timing);
        }
        if settings.follow != last.follow {
            self.follow_hops = timing.hops(settings.follow.time_ms);
        }
        if settings.sibilance != last.sibilance {
            self.sibilance.update(&settings.sibilance, timing);
        }
        if settings.breath != last.breath {
            self.breath = BreathPlan::new(&settings.breath, timing);
        }
        if settings.output != last.output || settings.sibilance.from_hz != last.sibilance.from_hz {
            self.listen = ListenPlan::new(settings, timing);
            self.output_gain = gain_from_db(settings.output.gain_db);
        }
        self.settings = *settings;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::{FollowSource, Listen};
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn an_updated_plan_equals_a_new_one(
            changes in prop::collection::vec((0usize..11, 0f32..1.0), 1..20),
        ) {
            let timing = Timing::new(48_000.0);
            let mut settings = Settings::default();
            let mut plan = Plan::new(&settings, timing);
            for (which, share) in changes {
                match which {
                    0 => settings.leveller.attack_ms = 1.0 + 9.0 * share,
                    1 => settings.leveller.on = share > 0.5,
                    2 => settings.sibilance.from_hz = 2000.0 + 8000.0 * share,
                    3 => settings.sibilance.reach = share,
                    4 => settings.sibilance.release_ms = 5.0 + 100.0 * share,
                    5 => settings.follow.time_ms = 50.0 + 900.0 * share,
                    6 => settings.follow.source = if share > 0.5 { FollowSource::ThisTrack } else { FollowSource::Reference },
                    7 => settings.breath.low_cut_hz = (share > 0.3).then_some(40.0 + 900.0 * share),
                    8 => settings.breath.range_db = 24.0 * share,
                    9 => settings.output.gain_db = 12.0 * share,
                    _ => settings.output.listen = if share > 0.5 { Listen::Detector } else { Listen::Output },
                }
                plan.update(&settings, timing);
                prop_assert_eq!(plan, Plan::new(&settings, timing));
            }
        }
    }
}
