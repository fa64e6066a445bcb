//! Nothing happens on the audio thread but sound: no system call, hence no file, no log, no network and no lock that waits;
//! and no insert hears of another. Allocations end the program in *host_guard*, and in every test of hosts when
//! `cargo xtask test` runs them a second time on the library that holds the guard.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, vst3_bundle};
use siskin_tests::hosts::clap::{Answer, Bus, Handed, Session, Told, blocks, joined, mark_for_a_tracer};
use siskin_tests::hosts::vst3::{Module, Setup};
use siskin_tests::measurement::voices::signals::phrases;

const RATE_HZ: f64 = 48_000.0;
/// Set in the child process: the format and the name of the plug-in that are to be traced there.
const TRACE_HERE: &str = "SISKIN_TRACE_HERE";

/// Blocks of 1 to 512 samples of a voice, with a side-chain where `name` has one.
fn sound(name: &str, length: usize, seed: u64) -> Vec<Handed> {
    let voice = |seed: u64| -> Vec<Vec<f32>> {
        (seed..seed + 2)
            .map(|seed| phrases(RATE_HZ as f32, length, seed, 0.3, 0.9))
            .collect()
    };
    let sizes = [512, 64, 1, 333, 480];
    let mut given = blocks(&voice(seed), &sizes);
    if name == SISKIN_FOLLOW {
        for (block, lead) in given.iter_mut().zip(blocks(&voice(seed + 7), &sizes)) {
            block.inputs.push(Bus::new(&lead.inputs[0].sound()));
        }
    }
    given
}

/// In the child: every parameter moves, the lookahead too, while each call is marked.
fn play_for_a_tracer(format: &str, name: &str) {
    let parameters = insert(name).parameters().to_vec();
    let mut given = sound(name, 96_000, 1);
    for (index, block) in given.iter_mut().enumerate() {
        let parameter = &parameters[index % parameters.len()];
        let share = (index * 37 % 101) as f64 / 100.0;
        // A lookahead asks for a restart: it comes at the end.
        let sample = block.samples as u32 / 2;
        let highest = if format == "CLAP" { parameter.highest } else { 1.0 };
        if format != "VST3-still" && (parameter.id != "look" || index > 300) {
            block.told = vec![Told::value(sample, parameter.clap_id, share * highest)];
        }
    }
    let answers = if format == "CLAP" {
        let mut session = insert(name).session();
        session.activate(RATE_HZ, 512).unwrap();
        session
            .process(&mut Handed::new(&[vec![0.0; 512], vec![0.0; 512]]))
            .unwrap();
        mark_for_a_tracer();
        session
            .process_while(&mut given, |plugin| drop(plugin.save_state().unwrap()))
            .unwrap()
    } else {
        let mut insert = Module::load(&vst3_bundle()).insert(name);
        let setup = Setup {
            sample_rate_hz: RATE_HZ,
            most_samples: 512,
            offline: false,
        };
        assert!(insert.set_up(setup) && insert.set_active(true) && insert.set_processing(true));
        insert.process(&mut Handed::new(&[vec![0.0; 512], vec![0.0; 512]]));
        mark_for_a_tracer();
        insert.process_all(&mut given)
    };
    assert!(!answers.contains(&Answer::Refused));
}

/// A call that wakes another thread and waits for nothing.
const WAKES: &str = "wakes another thread";

/// The system calls between the marks of one thread, by name, and how many pairs of marks there were.
fn calls_inside(trace: &Path) -> (usize, BTreeMap<String, usize>) {
    let mut inside: BTreeMap<String, bool> = BTreeMap::new();
    let (mut marks, mut calls) = (0, BTreeMap::new());
    for line in fs::read_to_string(trace).unwrap().lines() {
        let (thread, call) = line.split_once(' ').unwrap();
        let call = call.trim_start();
        let name = call.split(['(', ' ']).next().unwrap();
        let is_inside = inside.entry(thread.to_owned()).or_default();
        match name {
            "getppid" => {
                *is_inside = !*is_inside;
                marks += 1;
            }
            // A signal, the end of a thread, the end of a call that was counted when it began.
            "+++" | "---" | "<..." => {}
            // A thread is woken, without waiting for anything.
            "futex" if *is_inside && call.contains("FUTEX_WAKE") => {
                *calls.entry(WAKES.to_owned()).or_insert(0) += 1;
            }
            _ if *is_inside => *calls.entry(name.to_owned()).or_insert(0) += 1,
            _ => {}
        }
    }
    (marks / 2, calls)
}

#[test]
#[cfg(target_os = "linux")]
fn the_audio_thread_makes_no_system_call() {
    if let Ok(told) = std::env::var(TRACE_HERE) {
        let (format, name) = told.split_once(' ').unwrap();
        return play_for_a_tracer(format, name);
    }
    let folder = tempfile::tempdir().unwrap();
    // In VST3 on Linux the framework hands each value that a host changes to its background thread, and wakes it: that is
    // beyond this bundle's reach. It never waits there.
    for format in ["CLAP", "VST3", "VST3-still"] {
        for name in [SISKIN, SISKIN_FOLLOW] {
            let trace = folder.path().join(format!("{format} {name}"));
            let child = Command::new("strace")
                .args(["-f", "-qq", "-o"])
                .arg(&trace)
                .arg(std::env::current_exe().unwrap())
                .args(["--exact", "the_audio_thread_makes_no_system_call", "--nocapture"])
                .env(TRACE_HERE, format!("{format} {name}"))
                .output()
                .unwrap();
            let said = String::from_utf8_lossy(&child.stderr);
            assert!(child.status.success(), "{format} {name}: {said}");
            let (blocks, calls) = calls_inside(&trace);
            println!("{format} {name}: {blocks} blocks, {calls:?}");
            assert!(blocks > 300, "{blocks}");
            let allowed = |call: &String| format == "VST3" && call == WAKES;
            assert!(calls.keys().all(allowed), "{format} {name}: {calls:?}");
        }
    }
}

/// Insert `index` of many: a plug-in, a voice and settings of its own.
fn one_of_many(index: usize) -> (Session, Vec<Handed>) {
    let name = [SISKIN, SISKIN_FOLLOW][index % 2];
    let mut session = insert(name).session();
    let parameters = session.parameters().to_vec();
    for (turn, parameter) in parameters.iter().enumerate() {
        if !["bypass", "listen"].contains(&parameter.id.as_str()) {
            let share = ((index * 31 + turn * 17) % 97) as f64 / 96.0;
            session
                .flush(parameter.clap_id, share * parameter.highest)
                .unwrap();
        }
    }
    session.activate(RATE_HZ, 512).unwrap();
    (session, sound(name, 24_000, index as u64 + 1))
}

#[test]
fn sixty_four_inserts_in_one_program_each_sound_as_alone() {
    const INSERTS: usize = 64;
    let alone: Vec<_> = (0..INSERTS)
        .map(|index| {
            let (mut session, mut given) = one_of_many(index);
            session.process_all(&mut given).unwrap();
            joined(&given)
        })
        .collect();
    for (index, sound) in alone.iter().enumerate() {
        assert!(
            alone[..index].iter().all(|other| other != sound),
            "{index} is as another"
        );
    }
    // All alive at once, a block of each in turn.
    let mut together: Vec<_> = (0..INSERTS).map(one_of_many).collect();
    for block in 0..together[0].1.len() {
        for (session, given) in &mut together {
            session.process(&mut given[block]).unwrap();
        }
    }
    for (index, ((_, given), alone)) in together.iter().zip(&alone).enumerate() {
        assert!(joined(given) == *alone, "insert {index}, in turn");
    }
    drop(together);
    // And on eight threads at once, each with eight of them.
    std::thread::scope(|scope| {
        for thread in 0..8 {
            let alone = &alone;
            scope.spawn(move || {
                let mut ours: Vec<_> = (thread * 8..thread * 8 + 8).map(one_of_many).collect();
                for (session, given) in &mut ours {
                    session.process_all(given).unwrap();
                }
                for (index, (_, given)) in ours.iter().enumerate() {
                    assert!(
                        joined(given) == alone[thread * 8 + index],
                        "insert {}",
                        thread * 8 + index
                    );
                }
            });
        }
    });
}
