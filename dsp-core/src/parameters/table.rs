//! The table of parameters, in the order of the signal. `row` says what the parts of a row are.

use super::row::{Access, choice_of, number_of, switch_of};
use super::spec::ParamKind::{Hertz, HertzOrOff, Level, Milliseconds, Ratio, RatioOrInfinity, Share};
use super::spec::Stage::{Breath, Follow, Leveller, Output, Sibilance};
use super::spec::{GlideKind, ParamSpec, Stage};
use crate::settings::{Channels, FollowSource, Listen, Lookahead, Part};

/// The names of [`Lookahead::ALL`].
const LOOKAHEADS: &[&str] = &["0 ms", "2 ms", "5 ms", "300 ms"];
/// The names of [`Channels::ALL`].
const CHANNELS: &[&str] = &["Linked", "Apart"];
/// The names of [`Listen::ALL`].
const LISTENS: &[&str] = &["Output", "Removed", "Detector"];
/// The names of [`Part::ALL`].
const PARTS: &[&str] = &["Whole", "Voice", "Breaths"];
/// The names of [`FollowSource::ALL`].
const SOURCES: &[&str] = &["Reference voice", "This track"];

/// Every parameter.
pub const PARAMETERS: [ParamSpec; 29] = [
    Leveller
        .switch("lev_on", "Leveller", false)
        .accesses(switch_of!(leveller.on))
        .help(
            "Levels the voice before the other stages. Off: the voice keeps the level that it has before \
             this insert.",
        ),
    Leveller
        .number("lev_thr", "Leveller threshold", Level("dB"), -60.0..=0.0, -30.0)
        .accesses(number_of!(leveller.threshold_db))
        .glides(GlideKind::Value)
        .help("The leveller turns down what is louder than this. In dB RMS: a full-scale sine reads 0."),
    Leveller
        .number("lev_ratio", "Leveller ratio", Ratio, 1.0..=20.0, 4.0)
        .accesses(number_of!(leveller.ratio))
        .glides(GlideKind::Reciprocal)
        .help("How firmly: at 4 : 1, four decibels over the threshold leave as one."),
    Leveller
        .number("lev_knee", "Leveller knee", Level("dB"), 0.0..=36.0, 18.0)
        .accesses(number_of!(leveller.knee_db))
        .glides(GlideKind::Value)
        .help("How gradually it sets in around the threshold."),
    Leveller
        .number("lev_att", "Leveller attack", Milliseconds, 0.1..=100.0, 4.0)
        .accesses(number_of!(leveller.attack_ms))
        .help("How quickly it turns down. A few milliseconds keep the front of each word."),
    Leveller
        .number("lev_rel", "Leveller release", Milliseconds, 10.0..=1000.0, 120.0)
        .accesses(number_of!(leveller.release_ms))
        .help("How quickly it lets go after a peak; after a long loud passage five times slower."),
    Leveller
        .number("lev_gain", "Leveller makeup", Level("dB"), -12.0..=30.0, 0.0)
        .accesses(number_of!(leveller.makeup_db))
        .glides(GlideKind::Value)
        .help("Turns the levelled voice up."),
    Leveller
        .switch("lev_auto", "Leveller auto makeup", false)
        .accesses(switch_of!(leveller.auto_makeup))
        .help("Turns the voice up by what levelling took from it, 0 to 30 dB, slowly and in the long run."),
    Sibilance
        .switch("sib_on", "Sibilance", true)
        .accesses(switch_of!(sibilance.on))
        .help("Holds s, sh, ch and t in proportion to the voice."),
    Sibilance
        .number("sib_prop", "Proportion", Level("LU"), -24.0..=12.0, -6.0)
        .accesses(number_of!(sibilance.proportion_lu))
        .glides(GlideKind::Value)
        .help(
            "How loud a sibilant may be against the voice before it is turned down. Drag the threshold in \
             the picture, or this line. A natural voice has its own 6 to 8 LU under it.",
        ),
    Sibilance
        .number("sib_ratio", "Sibilance ratio", RatioOrInfinity, 1.0..=20.0, 6.0)
        .accesses(number_of!(sibilance.ratio))
        .glides(GlideKind::Reciprocal)
        .help("How firmly what is over the threshold is held: at 6 : 1, six LU leave as one."),
    Sibilance
        .number("sib_range", "Sibilance range", Level("dB"), 0.0..=24.0, 12.0)
        .accesses(number_of!(sibilance.range_db))
        .glides(GlideKind::Value)
        .help(
            "The most that is ever taken, at any frequency. Less keeps more of the singer's own \
             character.",
        ),
    Sibilance
        .number("sib_from", "Detect from", Hertz, 2000.0..=10_000.0, 4000.0)
        .accesses(number_of!(sibilance.from_hz))
        .glides(GlideKind::Value)
        .help(
            "Sibilance is measured above this frequency. Lower finds sh and ch, higher leaves bright \
             vowels alone. The reduction begins where each sibilant does, up to two octaves higher.",
        ),
    Sibilance
        .number("sib_reach", "Reach", Share, 0.0..=1.0, 0.25)
        .accesses(number_of!(sibilance.reach))
        .glides(GlideKind::Value)
        .help("How far down the reduction reaches: 0 % the sibilant's own band, 100 % the whole voice."),
    Sibilance
        .number("sib_att", "Sibilance attack", Milliseconds, 0.1..=10.0, 0.5)
        .accesses(number_of!(sibilance.attack_ms))
        .help("Time to reach full reduction (99 %)."),
    Sibilance
        .number("sib_rel", "Sibilance release", Milliseconds, 5.0..=200.0, 30.0)
        .accesses(number_of!(sibilance.release_ms))
        .help("Time to recover (99 %)."),
    Follow
        .number("fol_time", "Follow", Milliseconds, 50.0..=3000.0, 400.0)
        .accesses(number_of!(follow.time_ms))
        .help(
            "How much singing the voice level is the mean of. Shorter follows each word, longer the \
             phrase.",
        ),
    Follow
        .number("fol_start", "Start level", Level("LUFS"), -50.0..=-6.0, -24.0)
        .accesses(number_of!(follow.start_lufs))
        .help("The voice level that is assumed until a voice is heard."),
    Follow
        .choice("fol_src", "Follow source", SOURCES, 0)
        .accesses(choice_of!(follow.source, FollowSource))
        .needs_reference()
        .help("Whose voice sets the threshold: the one on the side-chain, or this track's own."),
    Breath
        .switch("br_on", "Breath", false)
        .accesses(switch_of!(breath.on))
        .help("Holds breaths in proportion to the voice."),
    Breath
        .number("br_prop", "Breath proportion", Level("LU"), -40.0..=0.0, -20.0)
        .accesses(number_of!(breath.proportion_lu))
        .glides(GlideKind::Value)
        .help("How loud a breath may be against the voice before it is turned down."),
    Breath
        .number("br_range", "Breath range", Level("dB"), 0.0..=24.0, 12.0)
        .accesses(number_of!(breath.range_db))
        .glides(GlideKind::Value)
        .help("The most that is taken from a breath."),
    Breath
        .number("br_cut", "Breath low cut", HertzOrOff, 40.0..=1000.0, 0.0)
        .accesses(Access {
            get: |settings| settings.breath.low_cut_hz.unwrap_or(0.0),
            set: |settings, hz| settings.breath.low_cut_hz = (hz > 0.0).then_some(hz),
        })
        .glides(GlideKind::UnlessOff)
        .help("Takes rumble from breaths alone; the voice keeps its low end."),
    // No setting: it is part of the configuration, since it sets the latency.
    Output
        .choice("look", "Lookahead", LOOKAHEADS, Lookahead::Long as usize)
        .not_automatable()
        .help(
            "How far ahead it listens; the host delays the other tracks by as much. 5 ms catch every onset; \
             300 ms, for mixing, know each s and breath whole, and the voice after it too.",
        ),
    // No setting either: it decides how much the engine holds.
    Output
        .choice("chan", "Channels", CHANNELS, Channels::Linked as usize)
        .not_automatable()
        .help(
            "Whether left and right of a stereo track are treated as one. Apart, for voices that sing different \
             words: an s on one side leaves the other alone.",
        ),
    Output
        .choice("part", "Part", PARTS, 0)
        .accesses(choice_of!(output.part, Part))
        .not_automatable()
        .help(
            "What is heard of the track: all of it, the voice without its breaths, or the breaths alone. \
             Two copies of a track, one for each part, add up to the whole.",
        ),
    Output
        .number("out_gain", "Output gain", Level("dB"), -24.0..=24.0, 0.0)
        .accesses(number_of!(output.gain_db))
        .glides(GlideKind::Value)
        .help("The gain at the very end."),
    Output
        .choice("listen", "Listen", LISTENS, 0)
        .accesses(choice_of!(output.listen, Listen))
        .help(
            "What is heard: the output, what is removed, or what the detector hears. Never louder than \
             the voice. Key L. Goes back to the output when this window closes.",
        ),
    Output
        .switch("bypass", "Bypass", false)
        .accesses(switch_of!(output.bypass))
        .bypass()
        .help("Passes the input through at the same latency, click-free."),
];

impl ParamSpec {
    /// The parameter with this id.
    #[must_use]
    pub fn of(id: &str) -> Option<&'static Self> {
        PARAMETERS.iter().find(|spec| spec.id == id)
    }
}

impl Stage {
    /// The parameters of the stage, in the order of the table.
    pub fn parameters(self) -> impl Iterator<Item = &'static ParamSpec> {
        PARAMETERS.iter().filter(move |spec| spec.stage == self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Settings;

    /// Values other than the defaults, and the settings that they make, both by hand: a row that writes another row's
    /// setting shows here.
    #[test]
    fn every_id_sets_its_own_setting() {
        let values = [
            ("lev_on", 1.0),
            ("lev_thr", -20.0),
            ("lev_ratio", 3.0),
            ("lev_knee", 6.0),
            ("lev_att", 10.0),
            ("lev_rel", 200.0),
            ("lev_gain", 5.0),
            ("lev_auto", 1.0),
            ("sib_on", 0.0),
            ("sib_prop", -3.0),
            ("sib_ratio", f32::INFINITY),
            ("sib_range", 9.0),
            ("sib_from", 5500.0),
            ("sib_reach", 0.5),
            ("sib_att", 1.0),
            ("sib_rel", 50.0),
            ("fol_time", 1000.0),
            ("fol_start", -18.0),
            ("fol_src", 1.0),
            ("br_on", 1.0),
            ("br_prop", -30.0),
            ("br_range", 7.0),
            ("br_cut", 600.0),
            ("part", 2.0),
            ("out_gain", -2.0),
            ("listen", 1.0),
            ("bypass", 1.0),
        ];
        let rows = PARAMETERS
            .iter()
            .filter(|spec| !["look", "chan"].contains(&spec.id));
        assert!(rows.clone().map(|spec| spec.id).eq(values.map(|(id, _)| id)));
        let mut settings = Settings::default();
        for (spec, (_, value)) in rows.zip(values) {
            (spec.set)(&mut settings, value);
            assert_eq!((spec.get)(&settings), value, "{}", spec.id);
        }
        let mut expected = Settings::default();
        (expected.leveller.on, expected.leveller.auto_makeup) = (true, true);
        (expected.leveller.threshold_db, expected.leveller.ratio) = (-20.0, 3.0);
        (expected.leveller.knee_db, expected.leveller.makeup_db) = (6.0, 5.0);
        (expected.leveller.attack_ms, expected.leveller.release_ms) = (10.0, 200.0);
        (expected.sibilance.on, expected.sibilance.ratio) = (false, f32::INFINITY);
        (expected.sibilance.proportion_lu, expected.sibilance.range_db) = (-3.0, 9.0);
        (expected.sibilance.from_hz, expected.sibilance.reach) = (5500.0, 0.5);
        (expected.sibilance.attack_ms, expected.sibilance.release_ms) = (1.0, 50.0);
        (expected.follow.time_ms, expected.follow.start_lufs) = (1000.0, -18.0);
        expected.follow.source = FollowSource::ThisTrack;
        (expected.breath.on, expected.breath.low_cut_hz) = (true, Some(600.0));
        (expected.breath.proportion_lu, expected.breath.range_db) = (-30.0, 7.0);
        (expected.output.gain_db, expected.output.bypass) = (-2.0, true);
        expected.output.listen = Listen::Removed;
        expected.output.part = Part::Breaths;
        assert_eq!(settings, expected);
    }
}
