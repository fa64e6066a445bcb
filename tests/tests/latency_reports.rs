//! The latency that a CLAP host reads changes within `activate` alone, and is announced there. The host's own rules
//! ([`siskin_tests::hosts::rules`]) name a callback that comes at another time or on another thread.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::ParamEvent;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::Plugin;
use siskin_tests::hosts::fixtures::{RATE_HZ, block, voice};

/// Samples of a block.
const BLOCK: usize = 256;
/// Lookahead in the scale of CLAP: 0, 2, 5 and 300 ms, in samples.
const LATENCY_SAMPLES: [usize; 4] = [0, 96, 240, 14_400];

/// A way to change Lookahead.
#[derive(Debug, Clone, Copy)]
enum Way {
    Block,
    FlushActive,
    FlushInactive,
    StateActive,
    StateInactive,
}

fn process(plugin: &mut Plugin, name: &str, events: Vec<ParamEvent>) {
    let mut block = block(name, &voice(1, 2, RATE_HZ, BLOCK), events);
    plugin.process(&mut block).unwrap();
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
            process(plugin, name, vec![event]);
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
        process(plugin, name, Vec::new());
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
    process(plugin, name, Vec::new());
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
            for (choice, served) in [
                (0, false),
                (1, true),
                (3, true),
                (0, true),
                (3, false),
                (2, false),
            ] {
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
