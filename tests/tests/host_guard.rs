//! The plug-ins built so that an allocation while they process ends the program. Each pass runs in a child process,
//! which is this test program itself, so that the end of it is a test's finding and not the end of the tests.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, clap_bundle, guarded_library};
use siskin_tests::hosts::clap::{Bundle, Event, Plugin, Render};
use siskin_tests::measurement::voices::signals::phrases;

const RATE_HZ: f64 = 48_000.0;
const LENGTH: usize = 96_000;
/// Set in the child process: the name of the plug-in that is to be played there.
const PLAY_HERE: &str = "SISKIN_PLAY_GUARDED";

/// Changes of every parameter that can be automated, all over the sound.
fn automation(plugin: &mut Plugin) -> Vec<Event> {
    let parameters = plugin.parameters().to_vec();
    let automatable = parameters.iter().filter(|parameter| parameter.is_automatable());
    let mut events: Vec<Event> = automatable
        .enumerate()
        .flat_map(|(index, parameter)| {
            [parameter.highest, parameter.lowest, parameter.default]
                .into_iter()
                .enumerate()
                .map(move |(turn, value)| Event {
                    sample: 20_000 + 24_000 * turn + 701 * index,
                    parameter: parameter.clap_id,
                    change: siskin_tests::hosts::clap::Change::Value(value),
                })
        })
        .collect();
    events.push(plugin.event(90_000, "look", "2 ms").unwrap());
    events.sort_by_key(|event| event.sample);
    events
}

/// Plays with every stage on, under automation, with and without a reference voice, in blocks of many sizes.
fn play_everything(name: &str) {
    let mut plugin = Bundle::load(&guarded_library()).unwrap().plugin(name).unwrap();
    for (id, value) in [
        ("lev_on", "on"),
        ("lev_auto", "on"),
        ("sib_prop", "-18 LU"),
        ("br_on", "on"),
        ("br_cut", "200 Hz"),
    ] {
        plugin.set(id, value).unwrap();
    }
    let voice: Vec<Vec<f32>> = (1..=2)
        .map(|seed| phrases(RATE_HZ as f32, LENGTH, seed, 0.3, 0.9))
        .collect();
    let reference = if name == SISKIN_FOLLOW { &voice[..] } else { &[] };
    let events = automation(&mut plugin);
    for blocks in [&[512][..], &[1, 64, 333, 8192]] {
        let job = Render {
            reference,
            blocks,
            events: &events,
            ..Render::new(RATE_HZ, &voice)
        };
        let rendering = plugin.render(&job, &mut |_| {}).unwrap();
        assert!(rendering.audio.iter().flatten().all(|sample| sample.is_finite()));
        assert_ne!(rendering.audio, voice, "nothing was done");
    }
}

fn in_a_child(test: &str, name: &str) -> Output {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", test, "--nocapture"])
        .env(PLAY_HERE, name)
        .output()
        .unwrap()
}

/// What the guard says before it ends the program, as it lies in a library that holds it.
const LAST_WORDS: &[u8] = b"Memory allocation of ";

fn holds_the_guard(library: &Path) -> bool {
    let bytes = fs::read(library).unwrap();
    bytes.windows(LAST_WORDS.len()).any(|window| window == LAST_WORDS)
}

#[test]
fn the_guard_is_in_the_guarded_library_and_not_in_the_bundle() {
    assert!(holds_the_guard(&guarded_library()));
    assert!(!holds_the_guard(&clap_bundle()));
}

#[test]
fn nothing_is_allocated_while_sound_is_processed() {
    if let Ok(name) = std::env::var(PLAY_HERE) {
        return play_everything(&name);
    }
    for name in [SISKIN, SISKIN_FOLLOW] {
        let child = in_a_child("nothing_is_allocated_while_sound_is_processed", name);
        let said = String::from_utf8_lossy(&child.stderr);
        assert!(child.status.success(), "{name}: {}\n{said}", child.status);
    }
}
