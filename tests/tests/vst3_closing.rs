//! VST3 inserts that close while values are on their way to the framework's background thread, which the inserts of a kind
//! share: the thread serves the others, and nothing is left over.

#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::time::{Duration, Instant};

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, vst3_bundle};
use siskin_tests::hosts::fixtures::{RATE_HZ, block, silence};
use siskin_tests::hosts::vst3::{Module, Vst3Insert};
use siskin_tests::hosts::{HostBlock, ParamEvent, ProcessStatus};

/// Inserts that are made and closed.
const INSERTS: usize = 10_000;
/// One in so many is heard out: the restart that it asks for must arrive.
const HEARD_OUT: usize = 100;
const BLOCK: usize = 32;
/// Far longer than a task takes on the busiest machine.
const DEADLINE: Duration = Duration::from_secs(60);

fn ready(module: &Module, name: &str) -> Vst3Insert {
    let mut insert = module.insert(name);
    assert!(insert.activate(RATE_HZ, BLOCK));
    insert.take_requests();
    insert
}

/// A block that gives every parameter two new values, Lookahead among them.
fn automated(name: &str, parameters: &[u32], turn: usize) -> HostBlock {
    let mut block = block(name, &silence(BLOCK), Vec::new());
    let value = |index: usize| ((turn + index) % 7) as f64 / 7.0;
    for sample in [0, BLOCK - 1] {
        block.events.extend(
            parameters.iter().enumerate().map(|(index, &parameter)| {
                ParamEvent::value(sample as u32, parameter, value(index + sample))
            }),
        );
    }
    block
}

/// Changes Lookahead, and waits until the host has heard of it.
fn hear_out(insert: &mut Vst3Insert, name: &str, look: u32) {
    for value in [0.0, 1.0] {
        for events in [Vec::new(), vec![ParamEvent::value(0, look, value)]] {
            let mut block = block(name, &silence(BLOCK), events);
            assert_eq!(insert.process(&mut block), ProcessStatus::Continue);
        }
    }
    let start = Instant::now();
    while !insert.take_requests().latency_changed {
        assert!(start.elapsed() < DEADLINE, "the background thread is gone");
        std::thread::yield_now();
    }
}

fn threads() -> usize {
    fs::read_dir("/proc/self/task").unwrap().count()
}

#[test]
fn ten_thousand_inserts_close_while_values_are_on_their_way() {
    let module = Module::load(&vst3_bundle());
    let names = [SISKIN, SISKIN_FOLLOW];
    let mut stay = names.map(|name| ready(&module, name));
    let parameters: Vec<Vec<u32>> = stay
        .iter()
        .map(|insert| insert.parameters().iter().map(|parameter| parameter.id).collect())
        .collect();
    let look = stay[0].number_of("Lookahead");
    let threads_before = threads();
    let (mut closed, mut heard_out) = (0, 0);
    for turn in 0..INSERTS {
        let kind = turn % names.len();
        let mut insert = ready(&module, names[kind]);
        let mut block = automated(names[kind], &parameters[kind], turn);
        assert_eq!(insert.process(&mut block), ProcessStatus::Continue);
        if turn % HEARD_OUT == 0 {
            hear_out(&mut insert, names[kind], look);
            heard_out += 1;
        }
        drop(insert);
        closed += 1;
    }
    assert_eq!((closed, heard_out), (INSERTS, INSERTS / HEARD_OUT));
    assert_eq!(threads(), threads_before);
    for (insert, name) in stay.iter_mut().zip(names) {
        hear_out(insert, name, look);
    }
}
