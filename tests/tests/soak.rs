//! Random hosts; `cargo xtask test` runs this twice, on the bundles and on the guarded library. The scenes run in a child
//! process, which is this test program itself, so that the end of it is a finding too; it says before each scene which one
//! it is.

use std::collections::BTreeMap;
use std::process::Command;

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, bundle_folder, strict_bundle};
use siskin_tests::hosts::soak::Soak;
use siskin_tests::hosts::soak::timing::{Load, measure};

/// Scenes of a run, of 300 actions each.
const SCENES: u64 = 40;
/// The first seed; the scenes of a run are those that follow it, the same in every run.
const FIRST_SEED: u64 = 1_000;
/// Mutated states of a run.
const STATES: u64 = 4_000;
/// Set in the child process.
const SOAK_HERE: &str = "SISKIN_SOAK_HERE";

/// Scenes that were findings once: a loaded state under modulation (a flaw of the framework, let pass since), and a number
/// near the largest that came out a block later (let pass since). What else was found has a test of its own: aborts at the
/// end of an insert in *conform_vst3*, a jump of level in *state_keeping*, disorder in *conform_mistakes*.
const FOUND: &[u64] = &[1001, 1_795_650_380];

fn soak(seeds: impl IntoIterator<Item = u64>) -> BTreeMap<&'static str, usize> {
    let soak = Soak::load(&bundle_folder()).expect("the bundles");
    let mut actions = BTreeMap::new();
    for seed in seeds {
        eprintln!("scene {seed}");
        for action in soak.scene(seed, |_| {}).expect("nothing") {
            *actions.entry(action).or_default() += 1;
        }
    }
    actions
}

#[test]
fn random_hosts_find_nothing() {
    if std::env::var_os(SOAK_HERE).is_some() {
        soak(FOUND.iter().copied());
        let actions = soak(FIRST_SEED..FIRST_SEED + SCENES);
        let wanted = "make, destroy, activate, deactivate, play, play and save, load, forget";
        for action in wanted.split(", ") {
            assert!(
                actions.get(action).is_some_and(|&count| count > 20),
                "{action}: {actions:?}"
            );
        }
        return println!("{actions:?}");
    }
    let child = Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "random_hosts_find_nothing", "--nocapture"])
        .env(SOAK_HERE, "1")
        .output()
        .unwrap();
    let printed = String::from_utf8_lossy(&child.stderr);
    let last: Vec<&str> = printed.lines().rev().take(40).collect();
    assert!(child.status.success(), "{}: {:#?}", child.status, last);
    let scenes = printed.matches("scene").count();
    assert_eq!(scenes as u64, SCENES + FOUND.len() as u64, "{printed}");
    println!("{scenes} scenes: {}", String::from_utf8_lossy(&child.stdout));
}

#[test]
fn mutated_states_are_refused_or_taken_whole() {
    let soak = Soak::load(&bundle_folder()).unwrap_or_else(|error| panic!("{error}"));
    let mut states = soak.states().unwrap();
    for seed in FIRST_SEED..FIRST_SEED + STATES {
        states.load(seed).unwrap_or_else(|finding| panic!("{finding}"));
    }
    let tally = states.tally();
    println!("{tally:?}");
    let refused = tally.states - tally.taken - tally.unreadable;
    for (count, of_what) in [
        (tally.taken, "taken"),
        (refused, "refused"),
        (tally.unreadable, "unreadable"),
    ] {
        assert!(count > STATES / 50, "{of_what}: {tally:?}");
    }
}

#[test]
fn no_block_takes_much_longer_than_others() {
    /// Blocks of 64 samples at 48 kHz: 7500. One in a thousand is left out, for an interrupt counts as this thread's time,
    /// too; the longer and stricter run is `cargo xtask soak --timing`.
    const SECONDS: f64 = 10.0;
    /// A block in which a window of analysis ends has more to do than one in which none does, and one that events cut
    /// into pieces more again: by a small factor, not by the hundreds of a page fault or a wait.
    const WORST_RATIO: f64 = 30.0;
    let bundle = strict_bundle();
    for name in [SISKIN, SISKIN_FOLLOW] {
        let load = Load {
            name,
            sample_rate_hz: 48_000.0,
            block: 64,
            seconds: SECONDS,
        };
        let [_, processor] = measure(&bundle, &load, |_| {}).unwrap();
        let ratio = processor.p999.as_secs_f64() / processor.median.as_secs_f64();
        println!("{name}: {processor:?}, ratio {ratio:.1}");
        assert!(processor.blocks > 7000);
        assert!(ratio < WORST_RATIO, "{name}: {processor:?}");
    }
}
