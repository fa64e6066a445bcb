//! The parameters, as a host is told of them, beside the table that people's songs depend on.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::{HostError, Plugin};

/// Id, name, lowest, highest and default value.
type Row = (
    &'static str,
    &'static str,
    &'static str,
    &'static str,
    &'static str,
);

const TABLE: &[Row] = &[
    ("lev_on", "Leveller", "off", "on", "off"),
    ("lev_thr", "Leveller threshold", "-60.0 dB", "0.0 dB", "-30.0 dB"),
    ("lev_ratio", "Leveller ratio", "1.0 : 1", "20.0 : 1", "4.0 : 1"),
    ("lev_knee", "Leveller knee", "0.0 dB", "36.0 dB", "18.0 dB"),
    ("lev_att", "Leveller attack", "0.10 ms", "100 ms", "4.0 ms"),
    ("lev_rel", "Leveller release", "10.0 ms", "1000 ms", "120 ms"),
    ("lev_gain", "Leveller makeup", "-12.0 dB", "30.0 dB", "0.0 dB"),
    ("lev_auto", "Leveller auto makeup", "off", "on", "off"),
    ("sib_on", "Sibilance", "off", "on", "on"),
    ("sib_prop", "Proportion", "-24.0 LU", "12.0 LU", "-6.0 LU"),
    ("sib_ratio", "Sibilance ratio", "1.0 : 1", "inf : 1", "6.0 : 1"),
    ("sib_range", "Sibilance range", "0.0 dB", "24.0 dB", "12.0 dB"),
    ("sib_from", "Detect from", "2.00 kHz", "10.00 kHz", "4.00 kHz"),
    ("sib_reach", "Reach", "0 %", "100 %", "25 %"),
    ("sib_att", "Sibilance attack", "0.10 ms", "10.0 ms", "0.50 ms"),
    ("sib_rel", "Sibilance release", "5.0 ms", "200 ms", "30.0 ms"),
    ("fol_time", "Follow", "50.0 ms", "3000 ms", "400 ms"),
    (
        "fol_start",
        "Start level",
        "-50.0 LUFS",
        "-6.0 LUFS",
        "-24.0 LUFS",
    ),
    ("br_on", "Breath", "off", "on", "off"),
    ("br_prop", "Breath proportion", "-40.0 LU", "0.0 LU", "-20.0 LU"),
    ("br_range", "Breath range", "0.0 dB", "24.0 dB", "12.0 dB"),
    ("br_cut", "Breath low cut", "off", "1.00 kHz", "off"),
    ("look", "Lookahead", "0 ms", "5 ms", "5 ms"),
    ("out_gain", "Output gain", "-24.0 dB", "24.0 dB", "0.0 dB"),
    ("listen", "Listen", "Output", "Detector", "Output"),
    ("bypass", "Bypass", "off", "on", "off"),
];

const FOLLOW_SOURCE: Row = (
    "fol_src",
    "Follow source",
    "Reference voice",
    "This track",
    "Reference voice",
);

/// The rows as the plug-in tells them, sorted by id.
fn told(plugin: &mut Plugin) -> Vec<[String; 5]> {
    let mut rows: Vec<[String; 5]> = plugin
        .parameters()
        .to_vec()
        .into_iter()
        .map(|parameter| {
            let mut text = |value| plugin.text_of(&parameter.id, value).unwrap();
            let values = [parameter.lowest, parameter.highest, parameter.default].map(&mut text);
            let [lowest, highest, default] = values;
            [
                parameter.id.clone(),
                parameter.name.clone(),
                lowest,
                highest,
                default,
            ]
        })
        .collect();
    rows.sort();
    rows
}

fn expected(extra: &[Row]) -> Vec<[String; 5]> {
    let mut rows: Vec<[String; 5]> = TABLE
        .iter()
        .chain(extra)
        .map(|&(id, name, lowest, highest, default)| [id, name, lowest, highest, default].map(str::to_owned))
        .collect();
    rows.sort();
    rows
}

#[test]
fn both_plug_ins_hold_to_the_table() {
    assert_eq!(told(&mut insert(SISKIN)), expected(&[]));
    assert_eq!(told(&mut insert(SISKIN_FOLLOW)), expected(&[FOLLOW_SOURCE]));
}

#[test]
fn all_but_the_lookahead_can_be_automated() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        for parameter in insert(name).parameters() {
            assert_eq!(
                parameter.is_automatable(),
                parameter.id != "look",
                "{name}: {}",
                parameter.id
            );
        }
    }
}

#[test]
fn what_is_written_reads_back() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = insert(name);
        for parameter in plugin.parameters().to_vec() {
            let id = &parameter.id;
            for value in [parameter.lowest, parameter.default, parameter.highest] {
                let text = plugin.text_of(id, value).unwrap();
                let read = plugin
                    .value_of(id, &text)
                    .unwrap_or_else(|error| panic!("{name}: {error}"));
                let again = plugin.text_of(id, read).unwrap();
                assert_eq!(again, text, "{name}: {id}");
            }
        }
    }
}

#[test]
fn plain_values_set_what_they_say() {
    let mut plugin = insert(SISKIN);
    for (id, given, shown) in [
        ("sib_prop", "-9", "-9.0 LU"),
        ("sib_prop", "-9.5 LU", "-9.5 LU"),
        ("sib_from", "5500", "5.50 kHz"),
        ("sib_from", "5.5 kHz", "5.50 kHz"),
        ("sib_from", "5", "5.00 kHz"),
        ("fol_time", "1.2 s", "1200 ms"),
        ("sib_ratio", "inf", "inf : 1"),
        ("br_cut", "off", "off"),
        ("br_cut", "80", "80 Hz"),
        ("look", "2", "2 ms"),
        ("br_on", "ON", "on"),
        ("listen", "removed", "Removed"),
    ] {
        plugin.set(id, given).unwrap_or_else(|error| panic!("{error}"));
        let value = plugin.value(id).unwrap();
        assert_eq!(plugin.text_of(id, value).unwrap(), shown, "{id}={given}");
    }
}

#[test]
fn nothing_is_bent_into_range() {
    let mut plugin = insert(SISKIN);
    for (id, given) in [
        ("sib_prop", "-24.1"),
        ("sib_prop", "12.5 LU"),
        ("sib_from", "12 kHz"),
        ("sib_from", "500"),
        ("sib_ratio", "25"),
        ("sib_ratio", "0.5"),
        ("br_cut", "20 Hz"),
        ("br_cut", "1200"),
        ("out_gain", "-100"),
        ("lev_att", "0.05"),
    ] {
        let refused = plugin.value_of(id, given);
        assert!(
            matches!(refused, Err(HostError::OutOfRange { .. })),
            "{id}={given}: {refused:?}"
        );
    }
    for (id, given) in [("sib_prop", "loud"), ("sib_prop", ""), ("sib_from", "4 dB")] {
        let refused = plugin.value_of(id, given);
        assert!(
            matches!(refused, Err(HostError::NotAValue { .. })),
            "{id}={given}: {refused:?}"
        );
    }
    for (id, given) in [("look", "3 ms"), ("sib_on", "maybe"), ("listen", "all")] {
        let refused = plugin.value_of(id, given);
        assert!(
            matches!(refused, Err(HostError::NotAWord { .. })),
            "{id}={given}: {refused:?}"
        );
    }
    assert!(matches!(
        plugin.value_of("sib", "1"),
        Err(HostError::UnknownParameter { .. })
    ));
}
