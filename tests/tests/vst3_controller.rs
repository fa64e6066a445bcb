//! What a VST3 host sends the controller and receives from it: values at once, calls on the UI thread.

use std::time::{Duration, Instant};

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW};
use siskin_tests::hosts::fixtures::{RATE_HZ, block, silence, vst3_insert};
use siskin_tests::hosts::vst3::Vst3Insert;
use siskin_tests::hosts::{ParamEvent, joined};

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

fn wait_until(mut restart_is_requested: impl FnMut() -> bool) {
    let start = Instant::now();
    while !restart_is_requested() {
        assert!(start.elapsed() < DEADLINE, "no restart was requested");
        std::thread::yield_now();
    }
}

/// Samples after which an impulse comes out, whatever gain it has by then.
fn delay_samples(insert: &mut Vst3Insert) -> usize {
    for index in 0..1000 {
        let mut sound = silence(BLOCK);
        sound
            .iter_mut()
            .for_each(|channel| channel[0] = f32::from(u8::from(index == 0)));
        let mut block = block(SISKIN, &sound, Vec::new());
        insert.process(&mut block);
        let sounding = joined(&[block])[0].iter().position(|&sample| sample != 0.0);
        if let Some(sample) = sounding {
            return index * BLOCK + sample;
        }
    }
    panic!("nothing came out");
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
        let look = insert.number_of("Lookahead");
        process(&mut insert, SISKIN, Vec::new());
        assert!(!insert.take_requests().latency_changed, "nothing has changed yet");
        process(&mut insert, SISKIN, vec![ParamEvent::value(0, look, 0.0)]);
        wait_until(|| {
            if by_run_loop {
                insert.take_requests().latency_changed
            } else {
                let _asked_for_its_side_effect = insert.value(look);
                insert.requests().latency_changed
            }
        });
        assert_eq!(insert.rules().take_broken(), Vec::<String>::new());
    }
}

/// VST3 has the host activate again for another latency. Some hosts only read the latency and play on: until the activation the
/// sound is as late as it says.
#[test]
fn lookahead_for_mixing_begins_with_the_next_activation() {
    let mut insert = processing(SISKIN);
    insert.take_requests();
    let look = insert.number_of("Lookahead");
    for (value, before, after) in [(1.0, 240, 14_400), (0.0, 14_400, 0)] {
        process(&mut insert, SISKIN, vec![ParamEvent::value(0, look, value)]);
        wait_until(|| insert.take_requests().latency_changed);
        assert_eq!(insert.latency_samples(), before);
        assert_eq!(delay_samples(&mut insert), before as usize);
        assert!(insert.deactivate() && insert.activate(RATE_HZ, BLOCK));
        assert_eq!(insert.latency_samples(), after);
        assert_eq!(delay_samples(&mut insert), after as usize);
    }
    assert_eq!(insert.rules().take_broken(), Vec::<String>::new());
}

/// Channels that are apart need another engine: the host is asked to activate again, as for another latency.
#[test]
fn channels_apart_ask_for_an_activation() {
    let mut insert = processing(SISKIN);
    insert.take_requests();
    let channels = insert.number_of("Channels");
    process(&mut insert, SISKIN, vec![ParamEvent::value(0, channels, 1.0)]);
    wait_until(|| insert.take_requests().latency_changed);
    assert!(insert.deactivate() && insert.activate(RATE_HZ, BLOCK));
    process(&mut insert, SISKIN, Vec::new());
    assert!(!insert.take_requests().latency_changed);
    assert_eq!(insert.rules().take_broken(), Vec::<String>::new());
}

#[test]
fn run_loop_is_used_on_linux_and_given_back() {
    let insert = processing(SISKIN);
    let context = insert.context();
    assert_eq!(context.watched(), usize::from(cfg!(target_os = "linux")));
    drop(insert);
    assert_eq!(context.watched(), 0);
}
