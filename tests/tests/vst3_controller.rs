//! What a VST3 host sends the controller and receives from it: values at once, calls on the UI thread.

use std::time::{Duration, Instant};

use siskin_tests::hosts::ParamEvent;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW};
use siskin_tests::hosts::fixtures::{RATE_HZ, block, silence, vst3_insert};
use siskin_tests::hosts::vst3::Vst3Insert;

const BLOCK: usize = 128;
const DEADLINE: Duration = Duration::from_secs(60);

fn processing(name: &str) -> Vst3Insert {
    let mut insert = vst3_insert(name);
    assert!(insert.activate(RATE_HZ, BLOCK));
    insert
}

fn process(insert: &mut Vst3Insert, name: &str, events: Vec<ParamEvent>) {
    insert.process(&mut block(name, &silence(BLOCK), events));
}

/// Every parameter and both ends, forth and back, before and after the block that carries the value.
#[test]
fn controller_returns_what_it_was_told_while_sound_runs() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut insert = processing(name);
        for parameter in insert.parameters() {
            for value in [1.0, 0.0, 1.0] {
                assert!(insert.set(parameter.id, value));
                assert_eq!(insert.value(parameter.id), value, "{}, set", parameter.title);
                process(&mut insert, name, vec![ParamEvent::value(0, parameter.id, value)]);
                assert_eq!(
                    insert.value(parameter.id),
                    value,
                    "{}, processed",
                    parameter.title
                );
            }
        }
    }
}

#[test]
fn automation_and_states_replace_a_told_value() {
    let mut insert = processing(SISKIN);
    let state = insert.save_state().unwrap();
    let bypass = insert
        .parameters()
        .into_iter()
        .find(|parameter| parameter.is_bypass)
        .unwrap();
    insert.set(bypass.id, 1.0);
    assert!(insert.load_state(&state));
    assert_eq!(insert.value(bypass.id), 0.0, "the state's");
    process(&mut insert, SISKIN, vec![ParamEvent::value(0, bypass.id, 1.0)]);
    assert_eq!(insert.value(bypass.id), 1.0, "the automation's");
}

/// The host's handler notes a call on another thread, and the end of the insert panics on it. Through the run loop, and
/// through a call of the controller where the loop does not turn.
#[test]
fn restart_is_requested_on_the_ui_thread() {
    for by_run_loop in [true, false] {
        let mut insert = processing(SISKIN);
        insert.take_requests();
        let look = insert
            .parameters()
            .into_iter()
            .find(|parameter| parameter.title == "Lookahead")
            .unwrap();
        process(&mut insert, SISKIN, Vec::new());
        assert!(!insert.take_requests().latency_changed, "nothing has changed yet");
        process(&mut insert, SISKIN, vec![ParamEvent::value(0, look.id, 0.0)]);
        let start = Instant::now();
        let arrived = |insert: &mut Vst3Insert| {
            if by_run_loop {
                insert.take_requests().latency_changed
            } else {
                let _asked_for_its_side_effect = insert.value(look.id);
                insert.requests().latency_changed
            }
        };
        while !arrived(&mut insert) {
            assert!(start.elapsed() < DEADLINE, "no restart was requested");
            std::thread::yield_now();
        }
        assert_eq!(insert.rules().take_broken(), Vec::<String>::new());
    }
}

#[test]
fn run_loop_is_used_on_linux_and_given_back() {
    let insert = processing(SISKIN);
    let context = insert.context();
    assert_eq!(context.watched(), usize::from(cfg!(target_os = "linux")));
    drop(insert);
    assert_eq!(context.watched(), 0);
}
