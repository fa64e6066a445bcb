//! What CLAP alone has, call by call. What both formats have is in *conform*, one pass of sound in *host_clap*.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::time::Duration;

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, strict_bundle};
use siskin_tests::hosts::fixtures::{RATE_HZ, insert_with, voice};
use siskin_tests::hosts::{
    EventKind, HostBlock, ParamEvent, ProcessStatus, Transport, blocks, joined, processor_time,
};
use siskin_tests::measurement::levels::residual_db;
use siskin_tests::measurement::voices::singer::sing;

#[test]
fn bundle_is_scanned_in_a_tenth_of_a_second_of_processor_time() {
    // Where another test of this program has loaded the library, the scan alone is left.
    let start = processor_time();
    let bundle = strict_bundle();
    let (descriptors, presets) = (bundle.descriptors(), bundle.presets().unwrap());
    let took = processor_time().saturating_sub(start);
    assert_eq!((descriptors.len(), presets.is_empty()), (2, false));
    println!("CLAP scan: {took:?}");
    assert!(took < Duration::from_millis(100), "{took:?}");
}

#[test]
fn foreign_event_spaces_change_nothing() {
    let mut plugin = insert(SISKIN);
    let state = plugin.save_state().unwrap();
    plugin.activate(RATE_HZ, 512).unwrap();
    let gain = plugin.parameter("out_gain").unwrap().clap_id;
    let mut block = HostBlock::new(&voice(1, 2, RATE_HZ, 512));
    block.events = vec![ParamEvent {
        sample: 100,
        parameter: gain,
        kind: EventKind::ForeignValue(1.0),
    }];
    assert_eq!(plugin.process(&mut block).unwrap(), ProcessStatus::Continue);
    assert_eq!(plugin.save_state().unwrap(), state);
    block.events.push(ParamEvent::value(100, gain, 1.0));
    plugin.process(&mut block).unwrap();
    assert_ne!(
        plugin.save_state().unwrap(),
        state,
        "the same value in CLAP's space"
    );
}

#[test]
fn modulation_leaves_the_saved_value() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut plugin = insert(name);
        let state = plugin.save_state().unwrap();
        plugin.activate(RATE_HZ, 512).unwrap();
        for parameter in plugin.parameters().to_vec() {
            for amount in [-0.7, 0.3, 0.0] {
                let mut block = HostBlock::new(&voice(1, 2, RATE_HZ, 64));
                block.events = vec![ParamEvent::modulation(
                    3,
                    parameter.clap_id,
                    amount * parameter.highest,
                )];
                plugin.process(&mut block).unwrap();
                assert_eq!(plugin.save_state().unwrap(), state, "{name}: {}", parameter.id);
            }
        }
    }
}

/// By how much playback from the middle of a song differs from playback from the top once the voice is known, dB re the
/// sound; `located` is whether the host says where it plays.
fn difference_from_the_top_db(located: bool) -> f64 {
    let song = sing(RATE_HZ, 1);
    let play_from = |start: usize| {
        let sound = [1.0, 0.5].map(|share| song.audio[start..960_000].iter().map(|x| share * x).collect());
        let mut blocks = blocks(&sound, &[512]);
        for (index, block) in blocks.iter_mut().enumerate().filter(|_| located) {
            block.transport = Some(Transport {
                playing: true,
                position_s: (start + 512 * index) as f64 / RATE_HZ,
                tempo_bpm: 120.0,
                metre: None,
                loop_s: None,
            });
        }
        let mut plugin = insert_with(SISKIN, 2, &[("sib_prop", "-14 LU")]);
        plugin.activate(RATE_HZ, 512).unwrap();
        plugin.process_all(&mut blocks).unwrap();
        joined(&blocks)
    };
    let (top, here) = (play_from(0), play_from(288_037));
    let compared = 480_000;
    let worst = top.iter().zip(&here).map(|(top, here)| {
        let end = here.len();
        residual_db(&top[top.len() - compared..], &here[end - compared..])
    });
    worst.fold(f32::NEG_INFINITY, f32::max).into()
}

#[test]
fn playback_from_anywhere_sounds_as_from_the_top_where_the_host_says_where_it_plays() {
    let [located_db, other_db] = [true, false].map(difference_from_the_top_db);
    println!("{located_db:.1} dB, {other_db:.1} dB where the host does not say");
    assert!(located_db < -60.0, "{located_db} dB");
    assert!(
        other_db > located_db + 10.0,
        "the position makes no difference: {other_db} dB"
    );
}
