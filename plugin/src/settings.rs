//! Parameters as the engine's plain settings.

use siskin_dsp::{
    BreathSettings, FollowSettings, FollowSource, LevellerSettings, Listen, Lookahead, OutputSettings,
    Settings, SibilanceSettings,
};

use crate::params::build::{CUT_OFF_BELOW_HZ, INFINITE_ABOVE_RATIO};
use crate::params::{BreathParams, FollowGroup, InsertParams, LevellerParams, OutputParams, SibilanceParams};

/// Everything that can be set while sound runs.
pub fn settings<F: FollowGroup>(params: &InsertParams<F>) -> Settings {
    Settings {
        leveller: leveller(&params.leveller),
        sibilance: sibilance(&params.sibilance),
        follow: follow(&params.follow),
        breath: breath(&params.breath),
        output: output(&params.output),
    }
}

/// The lookahead, which sets the latency.
pub fn lookahead(params: &OutputParams) -> Lookahead {
    match params.lookahead.value() {
        0 => Lookahead::None,
        1 => Lookahead::Short,
        _ => Lookahead::Long,
    }
}

fn leveller(params: &LevellerParams) -> LevellerSettings {
    LevellerSettings {
        on: params.on.value(),
        threshold_db: params.threshold_db.value(),
        ratio: params.ratio.value(),
        knee_db: params.knee_db.value(),
        attack_ms: params.attack_ms.value(),
        release_ms: params.release_ms.value(),
        makeup_db: params.makeup_db.value(),
        auto_makeup: params.auto_makeup.value(),
    }
}

fn sibilance(params: &SibilanceParams) -> SibilanceSettings {
    let ratio = params.ratio.value();
    SibilanceSettings {
        on: params.on.value(),
        proportion_lu: params.proportion_lu.value(),
        ratio: if ratio > INFINITE_ABOVE_RATIO {
            f32::INFINITY
        } else {
            ratio
        },
        range_db: params.range_db.value(),
        from_hz: params.from_hz.value(),
        reach: params.reach_percent.value() / 100.0,
        attack_ms: params.attack_ms.value(),
        release_ms: params.release_ms.value(),
    }
}

fn follow(params: &impl FollowGroup) -> FollowSettings {
    FollowSettings {
        time_ms: params.common().time_ms.value(),
        start_lufs: params.common().start_lufs.value(),
        source: match params.source().map(|source| source.value()) {
            Some(1) => FollowSource::ThisTrack,
            _ => FollowSource::Reference,
        },
    }
}

fn breath(params: &BreathParams) -> BreathSettings {
    let low_cut_hz = params.low_cut_hz.value();
    BreathSettings {
        on: params.on.value(),
        proportion_lu: params.proportion_lu.value(),
        range_db: params.range_db.value(),
        low_cut_hz: (low_cut_hz >= CUT_OFF_BELOW_HZ).then_some(low_cut_hz),
    }
}

fn output(params: &OutputParams) -> OutputSettings {
    OutputSettings {
        gain_db: params.gain_db.value(),
        listen: match params.listen.value() {
            1 => Listen::Removed,
            2 => Listen::Detector,
            _ => Listen::Output,
        },
        bypass: params.bypass.value(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::build::{choice, level, switch};
    use crate::params::{FollowParams, FollowParamsWithSource};

    #[test]
    fn a_new_insert_has_the_settings_of_the_engine() {
        assert_eq!(
            settings(&InsertParams::<FollowParams>::default()),
            Settings::default()
        );
        let params = InsertParams::<FollowParamsWithSource>::default();
        assert_eq!(settings(&params), Settings::default());
        assert_eq!(lookahead(&params.output), Lookahead::default());
    }

    /// Parameters that stand everywhere but at their defaults.
    fn turned() -> InsertParams<FollowParamsWithSource> {
        let number = |value: f32| level("", (-60.0, 1e4), value, "");
        InsertParams {
            leveller: LevellerParams {
                on: switch("", true),
                threshold_db: number(-20.0),
                ratio: number(3.0),
                knee_db: number(6.0),
                attack_ms: number(10.0),
                release_ms: number(200.0),
                makeup_db: number(5.0),
                auto_makeup: switch("", true),
            },
            sibilance: SibilanceParams {
                on: switch("", false),
                proportion_lu: number(-3.0),
                ratio: number(INFINITE_ABOVE_RATIO + 0.1),
                range_db: number(9.0),
                from_hz: number(5500.0),
                reach_percent: number(50.0),
                attack_ms: number(1.0),
                release_ms: number(50.0),
            },
            follow: FollowParamsWithSource {
                common: FollowParams {
                    time_ms: number(1000.0),
                    start_lufs: number(-18.0),
                },
                source: choice("", &["", ""], 1),
            },
            breath: BreathParams {
                on: switch("", true),
                proportion_lu: number(-30.0),
                range_db: number(7.0),
                low_cut_hz: number(600.0),
            },
            output: OutputParams {
                lookahead: choice("", &["", ""], 1),
                gain_db: number(-2.0),
                listen: choice("", &["", ""], 1),
                bypass: switch("", true),
            },
            ..InsertParams::default()
        }
    }

    #[test]
    fn every_parameter_reaches_its_setting() {
        let expected = Settings {
            leveller: LevellerSettings {
                on: true,
                threshold_db: -20.0,
                ratio: 3.0,
                knee_db: 6.0,
                attack_ms: 10.0,
                release_ms: 200.0,
                makeup_db: 5.0,
                auto_makeup: true,
            },
            sibilance: SibilanceSettings {
                on: false,
                proportion_lu: -3.0,
                ratio: f32::INFINITY,
                range_db: 9.0,
                from_hz: 5500.0,
                reach: 0.5,
                attack_ms: 1.0,
                release_ms: 50.0,
            },
            follow: FollowSettings {
                time_ms: 1000.0,
                start_lufs: -18.0,
                source: FollowSource::ThisTrack,
            },
            breath: BreathSettings {
                on: true,
                proportion_lu: -30.0,
                range_db: 7.0,
                low_cut_hz: Some(600.0),
            },
            output: OutputSettings {
                gain_db: -2.0,
                listen: Listen::Removed,
                bypass: true,
            },
        };
        assert_eq!(settings(&turned()), expected);
        assert_eq!(lookahead(&turned().output), Lookahead::Short);
    }
}
