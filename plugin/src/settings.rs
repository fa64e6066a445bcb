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
}
