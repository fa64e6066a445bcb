//! Parameters as both formats describe them: the list that must not change, and a thousand values of each as text.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use siskin_dsp::PARAMETERS;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::fixtures::vst3_insert;

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
fn clap_reads_back_a_thousand_values_of_each_parameter() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = insert(name);
        for parameter in plugin.parameters().to_vec() {
            let id = &parameter.id;
            let travel = parameter.highest - parameter.lowest;
            for index in 0..=VALUES {
                let value = parameter.lowest + travel * f64::from(index) / f64::from(VALUES);
                let text = plugin.text_of(id, value).unwrap();
                let read = plugin
                    .value_of(id, &text)
                    .unwrap_or_else(|error| panic!("{name}: {error}"));
                assert_eq!(plugin.text_of(id, read).unwrap(), text, "{name}: {id} at {value}");
                assert!(
                    (parameter.lowest..=parameter.highest).contains(&read),
                    "{name}: {id}"
                );
                // No text stands for two places far apart on the travel.
                assert!(
                    (read - value).abs() <= 0.5_f64.max(travel * 0.03),
                    "{name}: {id}, {text}"
                );
            }
        }
    }
}

#[test]
fn vst3_reads_back_a_thousand_values_of_each_parameter() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let insert = vst3_insert(name);
        for parameter in insert.parameters() {
            for index in 0..=VALUES {
                let value = f64::from(index) / f64::from(VALUES);
                let text = insert.text_of(parameter.id, value).unwrap();
                let read = insert.value_of(parameter.id, &text).unwrap_or_else(|| {
                    panic!("{name}: {} does not read {text}", parameter.title);
                });
                assert_eq!(
                    insert.text_of(parameter.id, read).unwrap(),
                    text,
                    "{name}: {}",
                    parameter.title
                );
                assert!((0.0..=1.0).contains(&read));
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
