//! Saved songs: states of every release open, broken ones change nothing, and to load one makes no jump in level.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod damage;
mod while_playing;

use serde_json::{Value, json};
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::fixtures::{RATE_HZ, both, both_with, play, voice, with_lead};
use siskin_tests::hosts::{Insert, ParamEvent, blocks};
use siskin_tests::measurement::levels::residual_db;

/// States as releases wrote them: plug-in, the parameters that they lack, and the JSON. Of each release one with all
/// parameters that it had, none at its default; of 0.1.0 also as its builds wrote them before auto makeup was there.
const RELEASED: &[(&str, &[&str], &str)] = &[
    (SISKIN, &[], include_str!("../../states/0.1.0_siskin.json")),
    (
        SISKIN_FOLLOW,
        &[],
        include_str!("../../states/0.1.0_siskin_follow.json"),
    ),
    (
        SISKIN,
        &["lev_auto"],
        include_str!("../../states/0.1.0_siskin_without_auto_makeup.json"),
    ),
    (
        SISKIN_FOLLOW,
        &["lev_auto"],
        include_str!("../../states/0.1.0_siskin_follow_without_auto_makeup.json"),
    ),
    (SISKIN, &[], include_str!("../../states/0.2.0_siskin.json")),
    (
        SISKIN_FOLLOW,
        &[],
        include_str!("../../states/0.2.0_siskin_follow.json"),
    ),
];

/// A VST3 preset as a release wrote it: the plug-in, the settings that it meant, and the file.
type ReleasedPreset = (
    &'static str,
    &'static [(&'static str, &'static str)],
    &'static [u8],
);

/// The presets of every release.
const RELEASED_PRESETS: &[ReleasedPreset] = &[
    (
        SISKIN,
        &[("br_on", "on"), ("br_prop", "-14 LU"), ("br_range", "6 dB")],
        include_bytes!("../../presets/0.1.0/Lead.vstpreset"),
    ),
    (
        SISKIN_FOLLOW,
        &[
            ("sib_prop", "-11 LU"),
            ("sib_range", "18 dB"),
            ("br_on", "on"),
            ("br_prop", "-24 LU"),
            ("br_range", "18 dB"),
        ],
        include_bytes!("../../presets/0.1.0/Double.vstpreset"),
    ),
    (
        SISKIN_FOLLOW,
        &[
            ("sib_prop", "-14 LU"),
            ("sib_range", "18 dB"),
            ("sib_reach", "10 %"),
            ("sib_rel", "60 ms"),
            ("br_on", "on"),
            ("br_prop", "-28 LU"),
            ("br_range", "18 dB"),
        ],
        include_bytes!("../../presets/0.1.0/Backing stack.vstpreset"),
    ),
    (
        SISKIN_FOLLOW,
        &[
            ("sib_on", "off"),
            ("br_on", "on"),
            ("br_range", "24 dB"),
            ("br_cut", "650 Hz"),
        ],
        include_bytes!("../../presets/0.1.0/Breath track.vstpreset"),
    ),
];

/// The values that an insert saves, by id.
fn saved_values(insert: &mut Insert) -> Value {
    serde_json::from_slice::<Value>(&insert.save_json().unwrap()).unwrap()["params"].take()
}

fn defaults(name: &str) -> Value {
    saved_values(&mut both(name)[0])
}

#[test]
fn states_of_every_release_open_with_defaults_for_what_they_lack() {
    let version = env!("CARGO_PKG_VERSION");
    let is_this = |saved: &Value| saved["version"] == version;
    assert!(
        RELEASED
            .iter()
            .any(|(_, _, json)| is_this(&serde_json::from_str(json).unwrap())),
        "commit the states of {version} to tests/states"
    );
    for (name, lacks, json) in RELEASED {
        let saved: Value = serde_json::from_str(json).unwrap();
        let defaults = defaults(name);
        let mut expected = saved["params"].clone();
        for id in *lacks {
            assert!(expected.get(id).is_none());
            expected[*id] = defaults[*id].clone();
        }
        for (id, value) in expected.as_object().unwrap() {
            let is_set = *value != defaults[id];
            assert!(
                is_set || lacks.contains(&id.as_str()),
                "{name}: {id} is at its default"
            );
        }
        for mut insert in both(name) {
            // From a song in which everything was moved.
            assert!(insert.load_json(everything_moved(name).as_bytes()));
            assert_ne!(saved_values(&mut insert), expected);
            assert!(insert.load_json(json.as_bytes()));
            let mut now = saved_values(&mut insert);
            // Parameters that came later.
            for (id, value) in defaults.as_object().unwrap() {
                if expected.get(id).is_none() {
                    assert_eq!(now[id], *value, "{name}: {id}");
                    now.as_object_mut().unwrap().remove(id);
                }
            }
            assert_eq!(now, expected, "{name}");
        }
    }
}

#[test]
fn presets_of_every_release_sound_as_the_settings_that_they_meant() {
    let sound = voice(1, 2, RATE_HZ, 96_000);
    let lead = voice(3, 2, RATE_HZ, 96_000);
    for (name, settings, file) in RELEASED_PRESETS {
        let heard = |insert: &mut Insert| {
            insert.activate(RATE_HZ, 512).unwrap();
            play(insert, &mut with_lead(name, blocks(&sound, &[512]), &lead))
        };
        let meant = both_with(name, 2, settings);
        // What lies between the header of 48 bytes and the list, whose offset is the header's end.
        let list = u64::from_le_bytes(file[40..48].try_into().unwrap());
        let state = &file[48..list as usize];
        for (mut loaded, mut meant) in both(name).into_iter().zip(meant) {
            assert!(loaded.load_json(everything_moved(name).as_bytes()));
            assert!(loaded.load_json(state));
            assert_ne!(saved_values(&mut loaded), defaults(name));
            // A text means its number, give or take the last bit.
            for (loaded, meant) in heard(&mut loaded).iter().zip(&heard(&mut meant)) {
                let left_db = residual_db(loaded, meant);
                assert!(
                    left_db < -120.0,
                    "{settings:?}: {left_db} dB are left of the sound"
                );
            }
        }
    }
}

/// A state with every parameter at the top of its range.
fn everything_moved(name: &str) -> String {
    let mut plugin = insert(name);
    for parameter in plugin.parameters().to_vec() {
        plugin
            .flush(&[ParamEvent::value(0, parameter.clap_id, parameter.highest)])
            .unwrap();
    }
    String::from_utf8(plugin.save_state().unwrap().split_off(8)).unwrap()
}

#[test]
fn unknown_parts_of_a_state_are_ignored() {
    // The newest lacks nothing.
    let (_, _, newest) = RELEASED.iter().rfind(|(name, ..)| *name == SISKIN).unwrap();
    let mut state: Value = serde_json::from_str(newest).unwrap();
    let expected = state["params"].clone();
    state["version"] = json!("99.0.0");
    state["params"]["from_the_future"] = json!({ "f32": 3.5 });
    state["params"]["another"] = json!({ "string": "word" });
    state["fields"]["a_field"] = json!("{\"deep\":[1,2,3]}");
    state["a_section"] = json!({ "of": ["its", "own"] });
    for mut insert in both(SISKIN) {
        assert!(insert.load_json(state.to_string().as_bytes()));
        assert_eq!(saved_values(&mut insert), expected);
    }
}

#[test]
fn two_saves_are_the_same_bytes() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let [mut clap, mut vst3] = both(name);
        for _ in 0..2 {
            let saved = clap.save_json().unwrap();
            assert_eq!(clap.save_json().unwrap(), saved);
            assert_eq!(vst3.save_json().unwrap(), saved);
            let moved = everything_moved(name);
            assert!(clap.load_json(moved.as_bytes()) && vst3.load_json(moved.as_bytes()));
        }
    }
}
