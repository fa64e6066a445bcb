//! Saved songs: states of every release open, broken ones change nothing, and to load one makes no jump in level.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use serde_json::{Value, json};
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::state_from_json;
use siskin_tests::hosts::fixtures::{self, RATE_HZ, both, both_with, voice};
use siskin_tests::hosts::{Insert, ParamEvent, blocks, joined};
use siskin_tests::measurement::levels::residual_db;
use siskin_tests::measurement::voices::signals::noise;

/// States as releases wrote them: plug-in, the parameters that they lack, and the JSON. Of each release one with all
/// parameters that it had, none at its default; of 0.1.0 also as its builds wrote them before auto makeup was there.
const RELEASED: &[(&str, &[&str], &str)] = &[
    (SISKIN, &[], include_str!("../states/0.1.0_siskin.json")),
    (
        SISKIN_FOLLOW,
        &[],
        include_str!("../states/0.1.0_siskin_follow.json"),
    ),
    (
        SISKIN,
        &["lev_auto"],
        include_str!("../states/0.1.0_siskin_without_auto_makeup.json"),
    ),
    (
        SISKIN_FOLLOW,
        &["lev_auto"],
        include_str!("../states/0.1.0_siskin_follow_without_auto_makeup.json"),
    ),
    (SISKIN, &[], include_str!("../states/0.2.0_siskin.json")),
    (
        SISKIN_FOLLOW,
        &[],
        include_str!("../states/0.2.0_siskin_follow.json"),
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
        include_bytes!("../presets/0.1.0/Lead.vstpreset"),
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
        include_bytes!("../presets/0.1.0/Double.vstpreset"),
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
        include_bytes!("../presets/0.1.0/Backing stack.vstpreset"),
    ),
    (
        SISKIN_FOLLOW,
        &[
            ("sib_on", "off"),
            ("br_on", "on"),
            ("br_range", "24 dB"),
            ("br_cut", "650 Hz"),
        ],
        include_bytes!("../presets/0.1.0/Breath track.vstpreset"),
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

/// The state in a VST3 preset: what lies between the header of 48 bytes and the list, whose offset is the header's end.
fn preset_state(file: &[u8]) -> &[u8] {
    let list = u64::from_le_bytes(file[40..48].try_into().unwrap());
    &file[48..list as usize]
}

#[test]
fn presets_of_every_release_sound_as_the_settings_that_they_meant() {
    let sound = voice(1, 2, RATE_HZ, 96_000);
    let lead = voice(3, 2, RATE_HZ, 96_000);
    for (name, settings, file) in RELEASED_PRESETS {
        let heard = |insert: &mut Insert| {
            insert.activate(RATE_HZ, 512).unwrap();
            let (mut given, led) = (blocks(&sound, &[512]), blocks(&lead, &[512]));
            if *name == SISKIN_FOLLOW {
                for (block, lead) in given.iter_mut().zip(led) {
                    block.inputs.extend(lead.inputs);
                }
            }
            fixtures::play(insert, &mut given)
        };
        let meant = both_with(name, 2, settings);
        for (mut loaded, mut meant) in both(name).into_iter().zip(meant) {
            assert!(loaded.load_json(everything_moved(name).as_bytes()));
            assert!(loaded.load_json(preset_state(file)));
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

/// Loads `bytes`: refused, it changes nothing; taken, what it leaves is a state that loads again and stays as it is.
fn survives(insert: &mut Insert, load: impl FnOnce(&mut Insert) -> bool, case: &str) -> bool {
    let before = insert.save_json().unwrap();
    if !load(insert) {
        assert_eq!(
            insert.save_json().unwrap(),
            before,
            "refused, yet changed: {case}"
        );
        return false;
    }
    let after = insert.save_json().unwrap();
    assert!(insert.load_json(&after), "{case}");
    assert_eq!(insert.save_json().unwrap(), after, "{case}");
    assert!(!String::from_utf8_lossy(&after).contains("null"), "{case}");
    true
}

#[test]
fn truncated_state_changes_nothing() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let whole = everything_moved(name);
        for mut insert in both(name) {
            for length in 0..whole.len() {
                let cut = &whole.as_bytes()[..length];
                assert!(!survives(
                    &mut insert,
                    |insert| insert.load_json(cut),
                    &format!("{length} bytes")
                ));
                if let Insert::Clap(plugin) = &mut insert {
                    // The stream ends before the length that it began with.
                    let before = plugin.save_state().unwrap();
                    let framed = state_from_json(whole.as_bytes());
                    assert!(plugin.load_state(&framed[..length]).is_err());
                    assert_eq!(plugin.save_state().unwrap(), before);
                }
            }
            assert!(insert.load_json(whole.as_bytes()));
        }
    }
}

#[test]
fn state_with_one_bit_flipped_is_refused_or_loads_whole() {
    let whole = RELEASED[1].2.trim().as_bytes();
    for mut insert in both(SISKIN_FOLLOW) {
        let mut taken = 0;
        for bit in 0..whole.len() * 8 {
            let mut turned = whole.to_vec();
            turned[bit / 8] ^= 1 << (bit % 8);
            taken += usize::from(survives(
                &mut insert,
                |insert| insert.load_json(&turned),
                &format!("bit {bit}"),
            ));
        }
        // Digits become other digits and ids unknown ones; the rest is no state any more.
        assert!((1..whole.len() * 8 / 2).contains(&taken), "{taken}");
    }
}

#[test]
fn numbers_beyond_all_ranges_are_brought_into_them() {
    for mut insert in both(SISKIN) {
        assert!(insert.load_json(everything_moved(SISKIN).as_bytes()));
        let mut state: Value = serde_json::from_str(RELEASED[0].2).unwrap();
        for (_, value) in state["params"].as_object_mut().unwrap() {
            for (kind, value) in value.as_object_mut().unwrap() {
                match kind.as_str() {
                    "f32" => *value = json!(3.0e38),
                    "i32" => *value = json!(i32::MIN),
                    _ => {}
                }
            }
        }
        let state = state.to_string();
        assert!(survives(
            &mut insert,
            |insert| insert.load_json(state.as_bytes()),
            "beyond"
        ));
    }
}

#[test]
fn state_loads_in_pieces() {
    let whole = state_from_json(everything_moved(SISKIN).as_bytes());
    for piece in [1, 7, 8, 9, 100] {
        let mut plugin = insert(SISKIN);
        plugin.load_state_in_pieces(&whole, piece).unwrap();
        assert_eq!(plugin.save_state().unwrap(), whole, "{piece}");
    }
}

#[test]
fn states_are_saved_and_loaded_during_processing() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = insert(name);
        let one = plugin.save_state().unwrap();
        plugin
            .load_state(&state_from_json(everything_moved(name).as_bytes()))
            .unwrap();
        for (id, value) in [("lev_gain", "0 dB"), ("out_gain", "0 dB")] {
            plugin.set(id, value).unwrap();
        }
        let other = plugin.save_state().unwrap();
        plugin.activate(RATE_HZ, 64).unwrap();
        let mut given = blocks(&voice(1, 2, RATE_HZ, 480_000), &[64, 63]);
        let mut turns = 0;
        plugin
            .process_while(&mut given, |plugin| {
                turns += 1;
                plugin.load_state([&one, &other][turns % 2]).unwrap();
                assert_eq!(plugin.save_state().unwrap(), *[&one, &other][turns % 2]);
            })
            .unwrap();
        assert!(turns > 20, "{turns} turns");
        let output = joined(&given);
        assert_eq!(output[0].len(), 480_000);
        // +24 dB of output gain, on what peaks below 1.
        assert!(
            output
                .iter()
                .flatten()
                .all(|sample| sample.is_finite() && sample.abs() < 32.0)
        );
        println!("{name}: {turns} states while ten seconds sounded");
    }
}

/// Settings anywhere in their ranges, as a state.
fn random_state(seed: u64) -> Vec<u8> {
    let mut shares = noise(seed).map(|sample| f64::from(0.5 + 0.5 * sample));
    let mut plugin = insert(SISKIN);
    for parameter in plugin.parameters().to_vec() {
        // Listen and Bypass are levels of their own.
        let share = shares.next().unwrap();
        // 300 ms waits for the next activation.
        let share = if parameter.id == "look" {
            2.0 / 3.0 * share
        } else {
            share
        };
        if !["listen", "bypass"].contains(&parameter.id.as_str()) {
            let event = ParamEvent::value(0, parameter.clap_id, parameter.at(share));
            plugin.flush(&[event]).unwrap();
        }
    }
    plugin.save_state().unwrap()
}

fn play(states: [&[u8]; 2], sound: &[Vec<f32>], load_at: usize) -> Vec<Vec<f32>> {
    let mut plugin = insert(SISKIN);
    plugin.load_state(states[0]).unwrap();
    plugin.activate(RATE_HZ, 64).unwrap();
    plugin.serve_requests();
    let mut given: Vec<_> = blocks(sound, &[64]);
    let (before, after) = given.split_at_mut(load_at / 64);
    plugin.process_all(before).unwrap();
    plugin.load_state(states[1]).unwrap();
    plugin.process_all(after).unwrap();
    joined(&given)
}

/// Peaks of `sound` in windows of 5 ms.
fn peaks(sound: &[f32]) -> Vec<f32> {
    let peak = |window: &[f32]| window.iter().fold(0.0_f32, |peak, sample| peak.max(sample.abs()));
    sound.chunks(240).map(peak).collect()
}

#[test]
fn loading_a_state_is_no_louder_than_the_louder_of_the_two() {
    /// 1 dB: a makeup is there before the leveller that it makes up for. 0.7 dB was the most of 24 pairs of settings
    /// from anywhere in all ranges.
    const MARGIN: f32 = 1.122;
    /// Windows to either side: the lookahead, by which the two may lie apart, and a hop.
    const APART: usize = 3;
    let sound = voice(1, 2, RATE_HZ, 96_000);
    let load_at = 46_080;
    for pair in 0..24 {
        let (one, other) = (random_state(2 * pair + 100), random_state(2 * pair + 101));
        let loaded = play([&one, &other], &sound, load_at);
        let mut bounds = vec![
            play([&one, &one], &sound, load_at),
            play([&other, &other], &sound, load_at),
        ];
        // As the new settings begin by themselves, which another lookahead makes them do.
        let rest: Vec<Vec<f32>> = sound.iter().map(|channel| channel[load_at..].to_vec()).collect();
        let begun = play([&other, &other], &rest, 0);
        bounds.push(
            begun
                .into_iter()
                .map(|channel| [vec![0.0; load_at], channel].concat())
                .collect(),
        );
        for channel in 0..2 {
            let bounds: Vec<Vec<f32>> = bounds.iter().map(|sound| peaks(&sound[channel])).collect();
            let loaded = peaks(&loaded[channel]);
            for (window, &peak) in loaded.iter().enumerate() {
                let around = window.saturating_sub(APART)..(window + APART + 1).min(loaded.len());
                let bound = bounds
                    .iter()
                    .flat_map(|bound| &bound[around.clone()])
                    .fold(1e-4_f32, |bound, &peak| bound.max(peak));
                assert!(
                    peak <= bound * MARGIN,
                    "pair {pair}, channel {channel}, {} ms: {peak} above {bound}",
                    window * 5
                );
            }
        }
    }
}
