//! Parameters as both formats describe them: the list that must not change, a thousand values of each as text, and what a
//! person may write.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use siskin_dsp::PARAMETERS;
use siskin_tests::hosts::InsertParameter;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::fixtures::{every_insert, vst3_insert};
use siskin_tests::measurement::levels::near;

/// Written by the test below, read by a person, and committed.
const GOLDEN: &str = include_str!("../golden/parameters.txt");
/// Values tried of each parameter.
const VALUES: u32 = 1000;

fn clap_rows(rows: &mut String) {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = insert(name);
        for parameter in plugin.parameters().to_vec() {
            let text = [parameter.lowest, parameter.highest, parameter.default]
                .map(|value| plugin.text_of(&parameter.id, value).unwrap());
            writeln!(
                rows,
                "CLAP | {name} | {} | {} | {} | {} | {} ... {} | {} ... {} | {} | {:?}",
                parameter.id,
                parameter.clap_id,
                parameter.name,
                parameter.group,
                parameter.lowest,
                parameter.highest,
                text[0],
                text[1],
                text[2],
                parameter.flags,
            )
            .unwrap();
        }
    }
}

fn vst3_rows(rows: &mut String) {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let insert = vst3_insert(name);
        let units = insert.units();
        for parameter in insert.parameters() {
            let unit = units.iter().find(|unit| unit.id == parameter.unit).unwrap();
            let text =
                [0.0, 1.0, parameter.default].map(|value| insert.text_of(parameter.id, value).unwrap());
            writeln!(
                rows,
                "VST3 | {name} | {} | {} | {} | {} steps | {} ... {} | {} | flags {}",
                parameter.id,
                parameter.title,
                unit.name,
                parameter.steps,
                text[0],
                text[1],
                text[2],
                parameter.flags,
            )
            .unwrap();
        }
    }
}

#[test]
fn parameters_are_those_of_the_golden_file() {
    let mut rows = String::new();
    clap_rows(&mut rows);
    vst3_rows(&mut rows);
    let in_siskin = PARAMETERS.iter().filter(|spec| !spec.needs_reference).count();
    assert_eq!(rows.lines().count(), 2 * (in_siskin + PARAMETERS.len()));
    if rows != GOLDEN {
        let written = Path::new(env!("CARGO_TARGET_TMPDIR")).join("parameters.txt");
        fs::write(&written, &rows).unwrap();
        let changed = rows.lines().zip(GOLDEN.lines()).find(|(now, then)| now != then);
        panic!(
            "people's songs hold these parameters; only new ones may come. First change: {changed:?}\nIf all \
             changes are meant, copy {} to tests/golden/parameters.txt",
            written.display()
        );
    }
}

#[test]
fn a_thousand_values_of_each_parameter_read_back_as_they_are_written() {
    for (name, mut insert) in every_insert() {
        for InsertParameter { number, highest, .. } in insert.parameters() {
            let default = insert.value(number).unwrap();
            let values = (0..=VALUES).map(|index| highest * f64::from(index) / f64::from(VALUES));
            for value in values.chain([default]) {
                let case = format!("{} {name}: {number} at {value}", insert.format());
                let text = insert.text_of(number, value).unwrap();
                let read = insert.value_of(number, &text).unwrap();
                assert_eq!(insert.text_of(number, read).unwrap(), text, "{case}");
                assert!((0.0..=highest).contains(&read), "{case}");
                // No text stands for two places far apart on the travel, which the framework keeps in 32 bits.
                let rounding = highest * f64::from(f32::EPSILON);
                near(read, value, 0.5_f64.max(highest * 0.03) + rounding, &case);
            }
        }
    }
}

#[test]
fn text_without_a_value_is_refused() {
    let insert = vst3_insert(SISKIN);
    let long = "9".repeat(5000);
    for parameter in insert.parameters() {
        for text in ["", " ", "sing", "\u{1f3a4}", "NaN", "--", "1e999", "\u{0}"] {
            assert_eq!(
                insert.value_of(parameter.id, text),
                None,
                "{}: {text:?}",
                parameter.title
            );
        }
        if let Some(value) = insert.value_of(parameter.id, &long) {
            assert!((0.0..=1.0).contains(&value), "{}", parameter.title);
        }
    }
    assert_eq!(insert.text_of(1, 0.5), None);
    assert_eq!(insert.value_of(1, "0"), None);
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
        plugin.set(id, given).unwrap();
        let value = plugin.value(id).unwrap();
        assert_eq!(plugin.text_of(id, value).unwrap(), shown, "{id}={given}");
    }
}

#[test]
fn nothing_is_bent_into_range() {
    let mut plugin = insert(SISKIN);
    let out_of_range = [
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
    ];
    let no_value = [("sib_prop", "loud"), ("sib_prop", ""), ("sib_from", "4 dB")];
    let no_word = [("look", "3 ms"), ("sib_on", "maybe"), ("listen", "all")];
    for (cases, why) in [
        (&out_of_range[..], "is out of range"),
        (&no_value, "is not a value"),
        (&no_word, "is none of its values"),
        (&[("sib", "1")], "unknown parameter"),
    ] {
        for (id, given) in cases {
            let refused = plugin.value_of(id, given).unwrap_err().to_string();
            assert!(refused.contains(why), "{id}={given}: {refused}");
        }
    }
}
