//! The parameters against the table of the design: ids, names, groups, ranges and defaults; and every text against
//! the value that it stands for.

use nice_plug::prelude::*;

use super::{FollowGroup, FollowParams, FollowParamsWithSource, InsertParams, Knob};

/// id, name, group; the texts of the least value, of the default and of the greatest value.
const TABLE: [[&str; 6]; 27] = [
    ["lev_on", "Leveller", "Leveller", "off", "off", "on"],
    [
        "lev_thr",
        "Leveller threshold",
        "Leveller",
        "-60.0 dB",
        "-30.0 dB",
        "0.0 dB",
    ],
    [
        "lev_ratio",
        "Leveller ratio",
        "Leveller",
        "1.0 : 1",
        "4.0 : 1",
        "20.0 : 1",
    ],
    [
        "lev_knee",
        "Leveller knee",
        "Leveller",
        "0.0 dB",
        "18.0 dB",
        "36.0 dB",
    ],
    [
        "lev_att",
        "Leveller attack",
        "Leveller",
        "0.10 ms",
        "4.0 ms",
        "100 ms",
    ],
    [
        "lev_rel",
        "Leveller release",
        "Leveller",
        "10.0 ms",
        "120 ms",
        "1000 ms",
    ],
    [
        "lev_gain",
        "Leveller makeup",
        "Leveller",
        "-12.0 dB",
        "0.0 dB",
        "30.0 dB",
    ],
    ["lev_auto", "Leveller auto makeup", "Leveller", "off", "off", "on"],
    ["sib_on", "Sibilance", "Sibilance", "off", "on", "on"],
    [
        "sib_prop",
        "Proportion",
        "Sibilance",
        "-24.0 LU",
        "-6.0 LU",
        "12.0 LU",
    ],
    [
        "sib_ratio",
        "Sibilance ratio",
        "Sibilance",
        "1.0 : 1",
        "6.0 : 1",
        "inf : 1",
    ],
    [
        "sib_range",
        "Sibilance range",
        "Sibilance",
        "0.0 dB",
        "12.0 dB",
        "24.0 dB",
    ],
    [
        "sib_from",
        "Detect from",
        "Sibilance",
        "2.00 kHz",
        "4.00 kHz",
        "10.00 kHz",
    ],
    ["sib_reach", "Reach", "Sibilance", "0 %", "25 %", "100 %"],
    [
        "sib_att",
        "Sibilance attack",
        "Sibilance",
        "0.10 ms",
        "0.50 ms",
        "10.0 ms",
    ],
    [
        "sib_rel",
        "Sibilance release",
        "Sibilance",
        "5.0 ms",
        "30.0 ms",
        "200 ms",
    ],
    ["fol_time", "Follow", "Follow", "50.0 ms", "400 ms", "3000 ms"],
    [
        "fol_start",
        "Start level",
        "Follow",
        "-50.0 LUFS",
        "-24.0 LUFS",
        "-6.0 LUFS",
    ],
    [
        "fol_src",
        "Follow source",
        "Follow",
        "Reference voice",
        "Reference voice",
        "This track",
    ],
    ["br_on", "Breath", "Breath", "off", "off", "on"],
    [
        "br_prop",
        "Breath proportion",
        "Breath",
        "-40.0 LU",
        "-20.0 LU",
        "0.0 LU",
    ],
    [
        "br_range",
        "Breath range",
        "Breath",
        "0.0 dB",
        "12.0 dB",
        "24.0 dB",
    ],
    ["br_cut", "Breath low cut", "Breath", "off", "off", "1.00 kHz"],
    ["look", "Lookahead", "Output", "0 ms", "5 ms", "5 ms"],
    [
        "out_gain",
        "Output gain",
        "Output",
        "-24.0 dB",
        "0.0 dB",
        "24.0 dB",
    ],
    ["listen", "Listen", "Output", "Output", "Output", "Detector"],
    ["bypass", "Bypass", "Output", "off", "off", "on"],
];

/// Calls `look` with each control's id, group and parameter, whatever its kind.
fn each<F: FollowGroup>(params: &InsertParams<F>, look: &mut dyn FnMut(&str, &str, &dyn Texts)) {
    for group in params.groups() {
        for control in &group.controls {
            match control.knob {
                Knob::Value(param) => look(control.id, group.name, param),
                Knob::Choice(param) => look(control.id, group.name, param),
                Knob::Switch(param) => look(control.id, group.name, param),
            }
        }
    }
}

/// A parameter as its texts.
trait Texts {
    fn title(&self) -> &str;
    fn text(&self, normalized: f32) -> String;
    fn read(&self, text: &str) -> Option<f32>;
    fn default(&self) -> f32;
    fn traits(&self) -> ParamFlags;
}

impl<P: Param> Texts for P {
    fn title(&self) -> &str {
        self.name()
    }

    fn text(&self, normalized: f32) -> String {
        self.normalized_value_to_string(normalized, true)
    }

    fn read(&self, text: &str) -> Option<f32> {
        self.string_to_normalized_value(text)
    }

    fn default(&self) -> f32 {
        self.default_normalized_value()
    }

    fn traits(&self) -> ParamFlags {
        self.flags()
    }
}

fn rows<F: FollowGroup>() -> Vec<[String; 6]> {
    let mut rows = Vec::new();
    each(&InsertParams::<F>::default(), &mut |id, group, param| {
        let texts = [0.0, param.default(), 1.0].map(|normalized| param.text(normalized));
        let [least, default, greatest] = texts;
        rows.push([
            id.into(),
            param.title().into(),
            group.into(),
            least,
            default,
            greatest,
        ]);
    });
    rows
}

#[test]
fn siskin_follow_has_the_parameters_of_the_design() {
    assert_eq!(rows::<FollowParamsWithSource>(), TABLE);
}

#[test]
fn siskin_has_them_but_for_the_follow_source() {
    let table: Vec<_> = TABLE.into_iter().filter(|[id, ..]| *id != "fol_src").collect();
    assert_eq!(rows::<FollowParams>(), table);
}

#[test]
fn hosts_get_the_same_ids_and_groups_as_the_editor() {
    let params = InsertParams::<FollowParamsWithSource>::default();
    let hosts: Vec<_> = params
        .param_map()
        .into_iter()
        .map(|(id, _, group)| [id, group])
        .collect();
    assert_eq!(hosts, TABLE.map(|[id, _, group, ..]| [id, group]));
}

#[test]
fn every_text_reads_back_as_what_it_shows_with_its_unit_and_without() {
    each(
        &InsertParams::<FollowParamsWithSource>::default(),
        &mut |id, _, param| {
            for step in 0..=1000 {
                let text = param.text(step as f32 / 1000.0);
                let bare = text
                    .trim_end_matches(" : 1")
                    .trim_end_matches([' ', 'd', 'B', 'L', 'U', 'F', 'S', 'm', 's', '%']);
                let bare = bare.trim_end_matches(" kHz").trim_end_matches(" Hz");
                for typed in [&text, bare] {
                    if typed == bare && text.starts_with(char::is_alphabetic) {
                        continue;
                    }
                    let read = param
                        .read(typed)
                        .unwrap_or_else(|| panic!("{id} cannot read {typed:?}"));
                    assert_eq!(param.text(read), text, "{id} read {typed:?}");
                }
            }
        },
    );
}

#[test]
fn what_is_no_value_is_not_read() {
    each(
        &InsertParams::<FollowParamsWithSource>::default(),
        &mut |id, _, param| {
            for text in ["", " ", "loud", "1 furlong", "nan", "1e9"] {
                assert_eq!(param.read(text), None, "{id} read {text:?}");
            }
        },
    );
}

#[test]
fn a_value_out_of_range_is_read_as_the_nearest_end() {
    let params = InsertParams::<FollowParams>::default();
    assert_eq!(
        params.sibilance.range_db.string_to_normalized_value("99 dB"),
        Some(1.0)
    );
    assert_eq!(
        params.sibilance.from_hz.string_to_normalized_value("100 Hz"),
        Some(0.0)
    );
    let ratio = &params.sibilance.ratio;
    assert_eq!(ratio.text(ratio.read("500").unwrap_or_default()), "20.0 : 1");
    assert_eq!(ratio.read("\u{221e}"), Some(1.0));
}

#[test]
fn zero_decibels_are_zero_after_any_way_through_a_host() {
    let params = InsertParams::<FollowParams>::default();
    for param in [&params.leveller.makeup_db, &params.output.gain_db] {
        let normalized = param.string_to_normalized_value("0 dB").unwrap();
        assert_eq!(param.preview_plain(normalized), 0.0);
        assert_eq!(param.preview_plain((f64::from(normalized) as f32).next_up()), 0.0);
    }
}

#[test]
fn only_the_lookahead_is_closed_to_automation_and_only_bypass_bypasses() {
    each(
        &InsertParams::<FollowParamsWithSource>::default(),
        &mut |id, _, param| {
            let flags = param.traits();
            assert_eq!(flags.contains(ParamFlags::NON_AUTOMATABLE), id == "look", "{id}");
            assert_eq!(flags.contains(ParamFlags::BYPASS), id == "bypass", "{id}");
        },
    );
}
