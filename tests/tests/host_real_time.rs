//! Nothing happens on the audio thread but sound: no allocation, which ends the program in the guarded library, and no insert
//! depends on another. System calls are in *host_system_calls*.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::Path;
use std::process::Command;

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, clap_bundle, guarded_library, insert};
use siskin_tests::hosts::clap::{Bundle, Plugin, Render};
use siskin_tests::hosts::fixtures::{ALL_STAGES, RATE_HZ, automation, output_of, voice, with_lead};
use siskin_tests::hosts::{HostBlock, ParamEvent, blocks, joined};

const LENGTH: usize = 96_000;
/// Set in the child process: the name of the plug-in that is to be played there.
const PLAY_HERE: &str = "SISKIN_PLAY_GUARDED";

/// Plays with every stage on, under automation, with and without a reference voice, in blocks of many sizes.
fn play_all_stages(name: &str) {
    let mut plugin = Bundle::load_strict(&guarded_library())
        .unwrap()
        .plugin(name)
        .unwrap();
    plugin.set_all(ALL_STAGES).unwrap();
    let voice = voice(1, 2, RATE_HZ, LENGTH);
    let mut events = automation(&plugin, 3, 88_000);
    events.push(plugin.event(90_000, "look", "2 ms").unwrap());
    for blocks in [&[512][..], &[1, 64, 333, 8192]] {
        let job = Render {
            reference: if name == SISKIN_FOLLOW { &voice } else { &[] },
            blocks,
            events: &events,
            ..Render::new(RATE_HZ, &voice)
        };
        let rendering = plugin.render(&job, &mut |_| {}).unwrap();
        assert!(rendering.audio.iter().flatten().all(|sample| sample.is_finite()));
        assert_ne!(rendering.audio, voice, "nothing was done");
    }
}

/// What the guard prints before it ends the program, as it lies in a library that holds it.
const GUARD_MESSAGE: &[u8] = b"Memory allocation of ";

fn holds_the_guard(library: &Path) -> bool {
    let bytes = fs::read(library).unwrap();
    bytes
        .windows(GUARD_MESSAGE.len())
        .any(|window| window == GUARD_MESSAGE)
}

#[test]
fn guard_is_in_the_guarded_library_alone() {
    assert!(holds_the_guard(&guarded_library()));
    assert!(!holds_the_guard(&clap_bundle()));
}

#[test]
fn nothing_is_allocated_while_sound_is_processed() {
    const TEST: &str = "nothing_is_allocated_while_sound_is_processed";
    if let Ok(name) = std::env::var(PLAY_HERE) {
        return play_all_stages(&name);
    }
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut child = Command::new(std::env::current_exe().unwrap());
        output_of(child.args(["--exact", TEST, "--nocapture"]).env(PLAY_HERE, name));
    }
}

/// Insert `index` of many: a plug-in, a voice and settings of its own.
fn one_of_many(index: usize) -> (Plugin, Vec<HostBlock>) {
    let name = [SISKIN, SISKIN_FOLLOW][index % 2];
    let mut plugin = insert(name);
    for (turn, parameter) in plugin.parameters().to_vec().iter().enumerate() {
        // Where these have other values, much of what comes out is silence or the sound as it came in.
        if !["bypass", "listen", "part"].contains(&parameter.id.as_str()) {
            let value = parameter.at(((index * 31 + turn * 17) % 97) as f64 / 96.0);
            plugin
                .flush(&[ParamEvent::value(0, parameter.clap_id, value)])
                .unwrap();
        }
    }
    plugin.activate(RATE_HZ, 512).unwrap();
    let sizes = [512, 64, 1, 333, 480];
    let [sound, lead] = [1, 8].map(|seed| voice(index as u64 + seed, 2, RATE_HZ, 24_000));
    (plugin, with_lead(name, blocks(&sound, &sizes), &lead))
}

#[test]
fn sixty_four_inserts_in_one_program_each_sound_as_alone() {
    const INSERTS: usize = 64;
    let play = |index| {
        let (mut plugin, mut given) = one_of_many(index);
        plugin.process_all(&mut given).unwrap();
        joined(&given)
    };
    let alone: Vec<_> = (0..INSERTS).map(play).collect();
    for (index, sound) in alone.iter().enumerate() {
        assert!(
            alone[..index].iter().all(|other| other != sound),
            "{index} is as another"
        );
    }
    // All alive at once, a block of each in turn.
    let mut together: Vec<_> = (0..INSERTS).map(one_of_many).collect();
    for block in 0..together[0].1.len() {
        for (plugin, given) in &mut together {
            plugin.process(&mut given[block]).unwrap();
        }
    }
    for (index, ((_, given), alone)) in together.iter().zip(&alone).enumerate() {
        assert!(joined(given) == *alone, "insert {index}, in turn");
    }
    drop(together);
    // And on eight threads at once, each with eight of them.
    std::thread::scope(|scope| {
        for eight in 0..8 {
            let alone = &alone;
            scope.spawn(move || {
                let range = eight * 8..eight * 8 + 8;
                let mut ours: Vec<_> = range.clone().map(one_of_many).collect();
                for (plugin, given) in &mut ours {
                    plugin.process_all(given).unwrap();
                }
                for (index, (_, given)) in range.zip(&ours) {
                    assert!(joined(given) == alone[index], "insert {index}");
                }
            });
        }
    });
}
