//! The starting points, as hosts get them: CLAP's presets, the state in a JSON file, and VST3's preset files.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;
use std::process::Command;

use siskin_tests::hosts::built::{
    SISKIN, SISKIN_FOLLOW, insert, presets_folder, python, strict_bundle, vst3_bundle,
};
use siskin_tests::hosts::clap::{Plugin, state_as_json, state_from_json};
use siskin_tests::hosts::fixtures::{insert_with, output_of};

const SCRIPT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/python/vst3_preset.py");

/// What a starting point sets, by hand: hosts remember the words, and people what they got.
struct Golden {
    word: &'static str,
    name: &'static str,
    plug_in: &'static str,
    values: &'static [(&'static str, &'static str)],
}

const TABLE: [Golden; 4] = [
    Golden {
        word: "lead",
        name: "Lead",
        plug_in: SISKIN,
        values: &[("br_on", "on"), ("br_prop", "-14.0 LU"), ("br_range", "6.0 dB")],
    },
    Golden {
        word: "breaths",
        name: "Breaths alone",
        plug_in: SISKIN,
        values: &[("br_on", "on"), ("br_cut", "650 Hz"), ("part", "Breaths")],
    },
    Golden {
        word: "double",
        name: "Double",
        plug_in: SISKIN_FOLLOW,
        values: &[
            ("sib_prop", "-11.0 LU"),
            ("sib_range", "18.0 dB"),
            ("br_on", "on"),
            ("br_prop", "-24.0 LU"),
            ("br_range", "18.0 dB"),
        ],
    },
    Golden {
        word: "backing-stack",
        name: "Backing stack",
        plug_in: SISKIN_FOLLOW,
        values: &[
            ("sib_prop", "-14.0 LU"),
            ("sib_range", "18.0 dB"),
            ("chan", "Apart"),
            ("sib_reach", "10 %"),
            ("sib_rel", "60.0 ms"),
            ("br_on", "on"),
            ("br_prop", "-28.0 LU"),
            ("br_range", "18.0 dB"),
        ],
    },
];

/// No longer offered; loaded by its word all the same, as hosts remember it.
const EARLIER: Golden = Golden {
    word: "breath-track",
    name: "Breath track",
    plug_in: SISKIN_FOLLOW,
    values: &[
        ("sib_on", "off"),
        ("br_on", "on"),
        ("br_range", "24.0 dB"),
        ("br_cut", "650 Hz"),
    ],
};

/// Settings that no starting point sets: it has to put them back.
const TURNED: &[(&str, &str)] = &[
    ("lev_on", "on"),
    ("sib_att", "2 ms"),
    ("sib_from", "6 kHz"),
    ("fol_time", "1 s"),
    ("look", "0 ms"),
    ("out_gain", "-3 dB"),
    ("bypass", "on"),
];

/// Every parameter as it reads now, by id.
fn read(plugin: &mut Plugin) -> BTreeMap<String, String> {
    let parameters = plugin.parameters().to_vec();
    let texts = parameters.into_iter().map(|parameter| {
        let value = plugin.value(&parameter.id).unwrap();
        (
            parameter.id.clone(),
            plugin.text_of(&parameter.id, value).unwrap(),
        )
    });
    texts.collect()
}

/// What a new insert reads with the values of `point`.
fn expected(point: &Golden) -> BTreeMap<String, String> {
    let mut texts = read(&mut insert(point.plug_in));
    for (id, text) in point.values {
        let before = texts.insert((*id).to_owned(), (*text).to_owned());
        assert!(
            before.is_some_and(|before| before != *text),
            "{}: {id}",
            point.word
        );
    }
    texts
}

fn file(point: &Golden, ending: &str) -> PathBuf {
    presets_folder()
        .join(point.plug_in)
        .join(format!("{}.{ending}", point.name))
}

#[test]
fn clap_lists_each_with_its_plug_in() {
    let bundle = strict_bundle();
    let presets = bundle.presets().unwrap();
    let listed: Vec<_> = presets
        .iter()
        .map(|preset| {
            (
                preset.word.as_str(),
                preset.name.as_str(),
                preset.plug_in(&bundle).unwrap(),
            )
        })
        .collect();
    let golden = TABLE.map(|point| (point.word, point.name, point.plug_in.to_owned()));
    assert_eq!(listed, golden);
    for preset in &presets {
        assert!(
            preset.is_factory_content && preset.purpose.len() > 40 && preset.plug_ins.len() == 1,
            "{preset:?}"
        );
    }
}

#[test]
fn clap_loads_each_whole() {
    for point in TABLE.iter().chain([&EARLIER]) {
        let mut plugin = insert_with(point.plug_in, 2, TURNED);
        assert_ne!(read(&mut plugin), expected(point), "{}", point.word);
        plugin.load_preset(point.word).unwrap();
        assert_eq!(read(&mut plugin), expected(point), "{}", point.word);
    }
}

#[test]
fn unknown_starting_points_change_nothing() {
    for (plug_in, word) in [
        (SISKIN, "double"),
        (SISKIN_FOLLOW, "lead"),
        (SISKIN_FOLLOW, "doubles"),
        (SISKIN, ""),
    ] {
        let mut plugin = insert_with(plug_in, 2, TURNED);
        let before = read(&mut plugin);
        let refused = plugin.load_preset(word).unwrap_err().to_string();
        let said = "this plug-in has no such starting point";
        assert_eq!(
            refused,
            format!("the preset \"{word}\" was not loaded: {said}"),
            "{plug_in}"
        );
        assert_eq!(read(&mut plugin), before, "{plug_in}, {word}");
    }
}

#[test]
fn json_file_is_the_saved_state() {
    for point in &TABLE {
        let json = fs::read(file(point, "json")).unwrap();
        let mut loaded = insert_with(point.plug_in, 2, TURNED);
        loaded.load_state(&state_from_json(&json)).unwrap();
        assert_eq!(read(&mut loaded), expected(point), "{}", point.word);
        let saved = loaded.save_state().unwrap();
        let in_file: serde_json::Value = serde_json::from_slice(&json).unwrap();
        assert_eq!(state_as_json(&saved).unwrap(), in_file, "{}", point.word);

        let ids: BTreeSet<String> = in_file["params"].as_object().unwrap().keys().cloned().collect();
        let known: BTreeSet<String> = loaded
            .parameters()
            .iter()
            .map(|parameter| parameter.id.clone())
            .collect();
        assert_eq!(
            ids, known,
            "{}: ids that no parameter has, or the reverse",
            point.word
        );
    }
}

#[test]
fn presets_folder_holds_nothing_else() {
    let mut found = BTreeSet::new();
    for plug_in in fs::read_dir(presets_folder()).unwrap() {
        for file in fs::read_dir(plug_in.unwrap().path()).unwrap() {
            found.insert(file.unwrap().path());
        }
    }
    let golden: BTreeSet<PathBuf> = TABLE
        .iter()
        .flat_map(|point| ["json", "vstpreset"].map(|ending| file(point, ending)))
        .collect();
    assert_eq!(found, golden);
}

fn load_in_vst3(plug_in: &str, point: &Golden) -> Command {
    let mut host = Command::new(python());
    host.arg(SCRIPT).arg(vst3_bundle()).arg(plug_in);
    host.arg(file(point, "vstpreset"));
    host
}

#[test]
fn vst3_host_loads_each_preset_file() {
    for point in &TABLE {
        let [printed, _] = output_of(&mut load_in_vst3(point.plug_in, point));
        let printed: serde_json::Value = serde_json::from_str(&printed).unwrap();
        assert_eq!(printed["class_ids"][0], printed["class_ids"][1], "{}", point.word);

        let json = fs::read(file(point, "json")).unwrap();
        let asked: serde_json::Value = serde_json::from_slice(&json).unwrap();
        assert_eq!(printed["after"], asked, "{}", point.word);
        let moved = asked["params"].as_object().unwrap().iter();
        let moved = moved.filter(|(id, value)| printed["before"]["params"][id.as_str()] != **value);
        let moved: BTreeSet<&str> = moved.map(|(id, _)| id.as_str()).collect();
        let named: BTreeSet<&str> = point.values.iter().map(|(id, _)| *id).collect();
        assert_eq!(moved, named, "{}", point.word);
    }
}

#[test]
fn vst3_host_refuses_the_preset_of_the_other_plug_in() {
    for (plug_in, point) in [(SISKIN_FOLLOW, &TABLE[0]), (SISKIN, &TABLE[2])] {
        let ran = load_in_vst3(plug_in, point).output().unwrap();
        assert!(!ran.status.success(), "{plug_in}: {}", point.word);
    }
}
