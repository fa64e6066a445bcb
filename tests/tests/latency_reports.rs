//! The latency that a CLAP host reads changes within `activate` alone, and is announced there. The host's own rules
//! ([`siskin_tests::hosts::rules`]) name a callback that comes at another time or on another thread.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::Plugin;
use siskin_tests::hosts::{Bus, HostBlock, ParamEvent};
use siskin_tests::measurement::voices::signals::phrases;

const RATE_HZ: f64 = 48_000.0;
/// Samples of a block.
const BLOCK: usize = 256;
/// Lookahead in the scale of CLAP: off, 1 ms, 5 ms, in samples.
const LATENCY_SAMPLES: [usize; 3] = [0, 96, 240];

/// A way to change Lookahead.
#[derive(Debug, Clone, Copy)]
enum Way {
    Block,
    FlushActive,
    FlushInactive,
    StateActive,
    StateInactive,
}

fn block(plugin: &mut Plugin, events: Vec<ParamEvent>) -> HostBlock {
    let sound: Vec<Vec<f32>> = (1..=2)
        .map(|seed| phrases(RATE_HZ as f32, BLOCK, seed, 0.3, 0.9))
        .collect();
    let mut block = HostBlock::new(&sound);
    if plugin.inputs().unwrap().len() > 1 {
        block.inputs.push(Bus::new(&sound));
    }
    block.events = events;
    block
}

fn change(plugin: &mut Plugin, name: &str, way: Way, choice: usize) {
    let look = plugin.parameter("look").unwrap().clap_id;
    let event = ParamEvent::value(0, look, choice as f64);
    let state = |plugin: &mut Plugin| {
        let mut other = insert(name);
        other.flush(&[event]).unwrap();
        let saved = other.save_state().unwrap();
        plugin.load_state(&saved).unwrap();
    };
    match way {
        Way::Block => {
            let mut block = block(plugin, vec![event]);
            plugin.process(&mut block).unwrap();
        }
        Way::FlushActive => drop(plugin.flush(&[event]).unwrap()),
        Way::StateActive => state(plugin),
        Way::FlushInactive => {
            plugin.deactivate();
            plugin.flush(&[event]).unwrap();
        }
        Way::StateInactive => {
            plugin.deactivate();
            state(plugin);
        }
    }
}

/// Changes Lookahead to `choice`, from another one, and restarts; `served`: whether the host's main thread comes round
/// while the insert is still active.
fn check(plugin: &mut Plugin, name: &str, way: Way, choice: usize, served: bool) {
    let before = plugin.latency_samples().unwrap();
    let changes = plugin.latency_changes();
    let mut while_active = before;
    change(plugin, name, way, choice);
    if plugin.is_active() {
        let mut next = block(plugin, Vec::new());
        plugin.process(&mut next).unwrap();
        assert!(!served || plugin.serve_requests(), "{way:?}: no restart");
        while_active = plugin.latency_samples().unwrap();
    }
    plugin.deactivate();
    plugin.serve_requests();
    assert_eq!(plugin.rules().take_broken(), Vec::<String>::new(), "{way:?}");
    assert_eq!(while_active, before, "{way:?}: changed while active");
    assert_eq!(plugin.latency_changes(), changes, "{way:?}: announced early");
    plugin.activate(RATE_HZ, BLOCK).unwrap();
    assert_eq!(plugin.latency_samples().unwrap(), LATENCY_SAMPLES[choice]);
    assert_eq!(plugin.latency_changes(), changes + 1, "{way:?}: not announced");
    let mut next = block(plugin, Vec::new());
    plugin.process(&mut next).unwrap();
    assert!(!plugin.serve_requests(), "{way:?}: a second restart");
    assert_eq!(plugin.rules().take_broken(), Vec::<String>::new(), "{way:?}");
}

#[test]
fn latency_is_announced_within_activate_alone() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        for way in [
            Way::Block,
            Way::FlushActive,
            Way::FlushInactive,
            Way::StateActive,
            Way::StateInactive,
        ] {
            let mut plugin = insert(name);
            plugin.activate(RATE_HZ, BLOCK).unwrap();
            plugin.serve_requests();
            for (choice, served) in [(0, false), (1, true), (0, true), (2, false)] {
                check(&mut plugin, name, way, choice, served);
            }
        }
    }
}

#[test]
fn first_activation_asks_for_no_restart() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = insert(name);
        plugin.activate(RATE_HZ, BLOCK).unwrap();
        assert!(!plugin.serve_requests(), "{name}");
    }
}
