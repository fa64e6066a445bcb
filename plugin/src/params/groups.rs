//! The groups, one a stage: ids, names, ranges and defaults.

use nice_plug::prelude::*;
use siskin_dsp::Settings;

use super::build::{choice, hertz, level, low_cut, milliseconds, percent, ratio, ratio_to_infinity, switch};
use super::control::Control;

/// The lookahead's choices, in ms of latency.
const LOOKAHEADS: &[&str] = &["0 ms", "2 ms", "5 ms"];
/// What can be listened to.
const LISTENS: &[&str] = &["Output", "Removed", "Detector"];
/// Whose voice can be followed.
const SOURCES: &[&str] = &["Reference voice", "This track"];

/// The leveller.
#[derive(Params)]
pub struct LevellerParams {
    /// Off: whatever levels the voice sits upstream.
    #[id = "lev_on"]
    pub on: BoolParam,
    /// dB RMS.
    #[id = "lev_thr"]
    pub threshold_db: FloatParam,
    /// To one.
    #[id = "lev_ratio"]
    pub ratio: FloatParam,
    /// Width of the soft knee.
    #[id = "lev_knee"]
    pub knee_db: FloatParam,
    /// Time constant.
    #[id = "lev_att"]
    pub attack_ms: FloatParam,
    /// Time constant after a peak.
    #[id = "lev_rel"]
    pub release_ms: FloatParam,
    /// Gain after levelling.
    #[id = "lev_gain"]
    pub makeup_db: FloatParam,
    /// Adds what gives the voice back the level that it had before.
    #[id = "lev_auto"]
    pub auto_makeup: BoolParam,
}

impl Default for LevellerParams {
    fn default() -> Self {
        let default = Settings::default().leveller;
        Self {
            on: switch("Leveller", default.on),
            threshold_db: level("Leveller threshold", (-60.0, 0.0), default.threshold_db, "dB"),
            ratio: ratio("Leveller ratio", default.ratio),
            knee_db: level("Leveller knee", (0.0, 36.0), default.knee_db, "dB"),
            attack_ms: milliseconds("Leveller attack", (0.1, 100.0), default.attack_ms),
            release_ms: milliseconds("Leveller release", (10.0, 1000.0), default.release_ms),
            makeup_db: level("Leveller makeup", (-12.0, 30.0), default.makeup_db, "dB"),
            auto_makeup: switch("Leveller auto makeup", default.auto_makeup),
        }
    }
}

impl LevellerParams {
    pub(super) fn controls(&self) -> Vec<Control<'_>> {
        vec![
            Control::switch("lev_on", &self.on),
            Control::value("lev_thr", &self.threshold_db),
            Control::value("lev_ratio", &self.ratio),
            Control::value("lev_knee", &self.knee_db),
            Control::value("lev_att", &self.attack_ms),
            Control::value("lev_rel", &self.release_ms),
            Control::value("lev_gain", &self.makeup_db),
            Control::switch("lev_auto", &self.auto_makeup),
        ]
    }
}

/// The sibilance stage.
#[derive(Params)]
pub struct SibilanceParams {
    /// Off: the stage does nothing.
    #[id = "sib_on"]
    pub on: BoolParam,
    /// The adaptive threshold above the voice level, LU.
    #[id = "sib_prop"]
    pub proportion_lu: FloatParam,
    /// To one, or infinite.
    #[id = "sib_ratio"]
    pub ratio: FloatParam,
    /// The most that is taken away.
    #[id = "sib_range"]
    pub range_db: FloatParam,
    /// Lower edge of the band in which sibilance is measured.
    #[id = "sib_from"]
    pub from_hz: FloatParam,
    /// 0 (band) ... 100 % (whole voice).
    #[id = "sib_reach"]
    pub reach_percent: FloatParam,
    /// Until a reduction stands.
    #[id = "sib_att"]
    pub attack_ms: FloatParam,
    /// Until it is gone.
    #[id = "sib_rel"]
    pub release_ms: FloatParam,
}

impl Default for SibilanceParams {
    fn default() -> Self {
        let default = Settings::default().sibilance;
        Self {
            on: switch("Sibilance", default.on),
            proportion_lu: level("Proportion", (-24.0, 12.0), default.proportion_lu, "LU"),
            ratio: ratio_to_infinity("Sibilance ratio", default.ratio),
            range_db: level("Sibilance range", (0.0, 24.0), default.range_db, "dB"),
            from_hz: hertz("Detect from", (2000.0, 10_000.0), default.from_hz),
            reach_percent: percent("Reach", default.reach * 100.0),
            attack_ms: milliseconds("Sibilance attack", (0.1, 10.0), default.attack_ms),
            release_ms: milliseconds("Sibilance release", (5.0, 200.0), default.release_ms),
        }
    }
}

impl SibilanceParams {
    pub(super) fn controls(&self) -> Vec<Control<'_>> {
        vec![
            Control::switch("sib_on", &self.on),
            Control::value("sib_prop", &self.proportion_lu),
            Control::value("sib_ratio", &self.ratio),
            Control::value("sib_range", &self.range_db),
            Control::value("sib_from", &self.from_hz),
            Control::value("sib_reach", &self.reach_percent),
            Control::value("sib_att", &self.attack_ms),
            Control::value("sib_rel", &self.release_ms),
        ]
    }
}

/// The voice follower, as an insert of either kind has it.
pub trait FollowGroup: Params + Default + Send + Sync + 'static {
    /// What both kinds have.
    fn common(&self) -> &FollowParams;
    /// Whose voice is followed, where there is a choice.
    fn source(&self) -> Option<&IntParam>;
    /// The controls, in the order in which they are read.
    fn controls(&self) -> Vec<Control<'_>>;
}

/// The voice follower.
#[derive(Params)]
pub struct FollowParams {
    /// How much voiced material the voice level is the mean of.
    #[id = "fol_time"]
    pub time_ms: FloatParam,
    /// The voice level assumed after a reset.
    #[id = "fol_start"]
    pub start_lufs: FloatParam,
}

impl Default for FollowParams {
    fn default() -> Self {
        let default = Settings::default().follow;
        Self {
            time_ms: milliseconds("Follow", (50.0, 3000.0), default.time_ms),
            start_lufs: level("Start level", (-50.0, -6.0), default.start_lufs, "LUFS"),
        }
    }
}

impl FollowGroup for FollowParams {
    fn common(&self) -> &FollowParams {
        self
    }

    fn source(&self) -> Option<&IntParam> {
        None
    }

    fn controls(&self) -> Vec<Control<'_>> {
        vec![
            Control::value("fol_time", &self.time_ms),
            Control::value("fol_start", &self.start_lufs),
        ]
    }
}

/// The voice follower with a choice of voices.
#[derive(Params)]
pub struct FollowParamsWithSource {
    /// What both kinds have.
    #[nested]
    pub common: FollowParams,
    /// Whose voice is followed.
    #[id = "fol_src"]
    pub source: IntParam,
}

impl Default for FollowParamsWithSource {
    fn default() -> Self {
        Self {
            common: FollowParams::default(),
            source: choice("Follow source", SOURCES, 0),
        }
    }
}

impl FollowGroup for FollowParamsWithSource {
    fn common(&self) -> &FollowParams {
        &self.common
    }

    fn source(&self) -> Option<&IntParam> {
        Some(&self.source)
    }

    fn controls(&self) -> Vec<Control<'_>> {
        let mut controls = self.common.controls();
        controls.push(Control::choice("fol_src", &self.source));
        controls
    }
}

/// The breath stage.
#[derive(Params)]
pub struct BreathParams {
    /// Off: the stage does nothing.
    #[id = "br_on"]
    pub on: BoolParam,
    /// Where breaths are held, against the voice level.
    #[id = "br_prop"]
    pub proportion_lu: FloatParam,
    /// The most that is taken away.
    #[id = "br_range"]
    pub range_db: FloatParam,
    /// Off, or the corner of the low cut on breaths.
    #[id = "br_cut"]
    pub low_cut_hz: FloatParam,
}

impl Default for BreathParams {
    fn default() -> Self {
        let default = Settings::default().breath;
        Self {
            on: switch("Breath", default.on),
            proportion_lu: level("Breath proportion", (-40.0, 0.0), default.proportion_lu, "LU"),
            range_db: level("Breath range", (0.0, 24.0), default.range_db, "dB"),
            low_cut_hz: low_cut("Breath low cut"),
        }
    }
}

impl BreathParams {
    pub(super) fn controls(&self) -> Vec<Control<'_>> {
        vec![
            Control::switch("br_on", &self.on),
            Control::value("br_prop", &self.proportion_lu),
            Control::value("br_range", &self.range_db),
            Control::value("br_cut", &self.low_cut_hz),
        ]
    }
}

/// The end of the path.
#[derive(Params)]
pub struct OutputParams {
    /// Changes the latency, hence not automatable.
    #[id = "look"]
    pub lookahead: IntParam,
    /// Output gain.
    #[id = "out_gain"]
    pub gain_db: FloatParam,
    /// What is heard.
    #[id = "listen"]
    pub listen: IntParam,
    /// The delayed input.
    #[id = "bypass"]
    pub bypass: BoolParam,
}

impl Default for OutputParams {
    fn default() -> Self {
        let default = Settings::default().output;
        Self {
            lookahead: choice("Lookahead", LOOKAHEADS, 2).non_automatable(),
            gain_db: level("Output gain", (-24.0, 24.0), default.gain_db, "dB"),
            listen: choice("Listen", LISTENS, 0),
            bypass: switch("Bypass", default.bypass).make_bypass(),
        }
    }
}

impl OutputParams {
    pub(super) fn controls(&self) -> Vec<Control<'_>> {
        vec![
            Control::choice("look", &self.lookahead),
            Control::value("out_gain", &self.gain_db),
            Control::choice("listen", &self.listen),
            Control::switch("bypass", &self.bypass),
        ]
    }
}
