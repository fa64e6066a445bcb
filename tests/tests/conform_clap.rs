//! The CLAP bundle under a host that goes through the standard call by call. What one pass of sound shows is in
//! *host_clap*; hosts that break the rules are in *conform_mistakes*.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::time::{Duration, Instant};

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, clap_bundle, insert};
use siskin_tests::hosts::clap::{
    Answer, Bundle, Handed, Place, Plugin, Said, Session, Told, blocks, joined, state_as_json,
};
use siskin_tests::measurement::levels::residual_db;
use siskin_tests::measurement::voices::signals::{noise, phrases, power_db};
use siskin_tests::measurement::voices::singer::sing;

const RATE_HZ: f64 = 48_000.0;
const LENGTH: usize = 48_000;
/// Layouts of both plug-ins.
const LAYOUTS: [(&str, usize); 3] = [(SISKIN, 1), (SISKIN, 2), (SISKIN_FOLLOW, 2)];
/// Every stage at work.
const AT_WORK: [(&str, &str); 5] = [
    ("lev_on", "on"),
    ("sib_prop", "-12 LU"),
    ("sib_reach", "50 %"),
    ("br_on", "on"),
    ("br_cut", "200 Hz"),
];
const NOTHING_TO_DO: [(&str, &str); 3] = [("lev_on", "off"), ("sib_on", "off"), ("br_on", "off")];

fn voice(channels: usize, rate_hz: f64, length: usize) -> Vec<Vec<f32>> {
    (1..=channels as u64)
        .map(|seed| phrases(rate_hz as f32, length, seed, 0.3, 0.9))
        .collect()
}

fn session(name: &str, channels: usize, settings: &[(&str, &str)]) -> Session {
    let mut plugin = insert(name);
    plugin.select_channels(channels).unwrap();
    for (id, value) in settings {
        plugin.set(id, value).unwrap();
    }
    plugin.session()
}

fn play(session: &mut Session, blocks: &mut [Handed]) -> Vec<Vec<f32>> {
    let answers = session.process_all(blocks).unwrap();
    assert!(answers.iter().all(|&answer| answer != Answer::Refused));
    joined(blocks)
}

/// Plays `blocks` in an insert that was activated for them.
fn play_anew(layout: (&str, usize), rate_hz: f64, mut blocks: Vec<Handed>) -> Vec<Vec<f32>> {
    let mut session = session(layout.0, layout.1, &AT_WORK);
    session.activate(rate_hz, 8192).unwrap();
    play(&mut session, &mut blocks)
}

#[test]
fn the_bundle_is_scanned_in_less_than_a_tenth_of_a_second() {
    // The library is loaded already where another test of this program was faster; the first scan counts all the same.
    let start = Instant::now();
    let bundle = Bundle::load(&clap_bundle()).unwrap();
    let descriptors = bundle.descriptors();
    let presets = bundle.presets().unwrap();
    let took = start.elapsed();
    assert_eq!((descriptors.len(), presets.is_empty()), (2, false));
    println!("CLAP scan: {took:?}");
    assert!(took < Duration::from_millis(100), "{took:?}");
}

#[test]
fn two_hundred_inserts_come_and_go_in_any_order() {
    let bundle = Bundle::load(&clap_bundle()).unwrap();
    let mut alive: Vec<Plugin> = Vec::new();
    for turn in 0..200_usize {
        alive.push(bundle.plugin([SISKIN, SISKIN_FOLLOW][turn % 2]).unwrap());
        if turn % 3 == 2 {
            drop(alive.swap_remove((turn * 7919) % alive.len()));
        }
    }
    assert_eq!(alive.len(), 134);
    // Those that are left are whole.
    for plugin in &mut alive {
        assert!(state_as_json(&plugin.save_state().unwrap()).is_some());
    }
}

#[test]
fn inserts_are_made_on_several_threads_at_once() {
    let work = || {
        let bundle = Bundle::load(&clap_bundle()).unwrap();
        for turn in 0..25 {
            let mut session = bundle
                .plugin([SISKIN, SISKIN_FOLLOW][turn % 2])
                .unwrap()
                .session();
            session.activate(RATE_HZ, 512).unwrap();
            let mut block = Handed::new(&voice(2, RATE_HZ, 512));
            assert_eq!(session.process(&mut block).unwrap(), Answer::Continue);
        }
    };
    std::thread::scope(|scope| {
        let threads: Vec<_> = (0..8).map(|_| scope.spawn(work)).collect();
        threads.into_iter().for_each(|thread| thread.join().unwrap());
    });
}

#[test]
fn a_value_arrives_through_flush_active_or_not_and_through_a_block() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut session = session(name, 2, &[]);
        let parameters = session.parameters().to_vec();
        for parameter in &parameters {
            let (lowest, highest) = (parameter.lowest, parameter.highest);
            let read = |session: &mut Session| session.value(&parameter.id).unwrap();
            session.flush(parameter.clap_id, highest).unwrap();
            assert!((read(&mut session) - highest).abs() < 1e-6, "{}", parameter.id);
            session.activate(RATE_HZ, 512).unwrap();
            session.flush(parameter.clap_id, lowest).unwrap();
            assert!((read(&mut session) - lowest).abs() < 1e-6, "{}", parameter.id);
            let mut block = Handed::new(&voice(2, RATE_HZ, 512));
            block.told = vec![Told::value(511, parameter.clap_id, highest)];
            session.process(&mut block).unwrap();
            assert!((read(&mut session) - highest).abs() < 1e-6, "{}", parameter.id);
            session.deactivate();
            session.flush(parameter.clap_id, parameter.default).unwrap();
        }
    }
}

#[test]
fn other_name_spaces_and_unknown_ids_change_nothing() {
    let mut session = session(SISKIN, 2, &[]);
    let state = session.save_state().unwrap();
    session.activate(RATE_HZ, 512).unwrap();
    let gain = session.parameter("out_gain").unwrap().clone();
    let (known, unknown) = (gain.clap_id.get(), 4_000_000_000);
    let told = |parameter, said| Told {
        sample: 100,
        parameter,
        said,
    };
    let mut block = Handed::new(&voice(2, RATE_HZ, 512));
    block.told = vec![
        told(known, Said::ForeignValue(1.0)),
        told(unknown, Said::Value(1.0)),
        told(unknown, Said::Modulation(1.0)),
    ];
    assert_eq!(session.process(&mut block).unwrap(), Answer::Continue);
    assert_eq!(session.save_state().unwrap(), state);
    block.told.push(told(known, Said::Value(1.0)));
    session.process(&mut block).unwrap();
    assert_ne!(
        session.save_state().unwrap(),
        state,
        "the same value in the right place"
    );
}

#[test]
fn modulation_of_any_parameter_leaves_its_saved_value() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut session = session(name, 2, &[]);
        let state = session.save_state().unwrap();
        session.activate(RATE_HZ, 512).unwrap();
        for parameter in session.parameters().to_vec() {
            for amount in [-0.7, 0.3, 0.0] {
                let mut block = Handed::new(&voice(2, RATE_HZ, 64));
                block.told = vec![Told {
                    sample: 3,
                    parameter: parameter.clap_id.get(),
                    said: Said::Modulation(amount * parameter.highest),
                }];
                session.process(&mut block).unwrap();
                assert_eq!(session.save_state().unwrap(), state, "{name}: {}", parameter.id);
            }
        }
    }
}

#[test]
fn in_place_and_out_of_place_are_the_same_and_the_input_is_left_alone() {
    for (name, channels) in LAYOUTS {
        let sound = voice(channels, RATE_HZ, LENGTH);
        let apart = blocks(&sound, &[512, 33]);
        let mut within = apart.clone();
        for block in &mut within {
            block.in_place = true;
        }
        let mut session = session(name, channels, &AT_WORK);
        session.activate(RATE_HZ, 512).unwrap();
        let mut played = apart.clone();
        let expected = play(&mut session, &mut played);
        for (played, apart) in played.iter().zip(&apart) {
            assert_eq!(played.inputs, apart.inputs, "{name}");
        }
        assert_ne!(expected, sound, "nothing was done");
        assert!(
            play_anew((name, channels), RATE_HZ, within) == expected,
            "{name} {channels}"
        );
    }
}

#[test]
fn silence_that_is_called_constant_is_silence_and_nothing_is_called_constant_that_is_not() {
    let sound = voice(2, RATE_HZ, LENGTH);
    let mut quiet = sound.clone();
    for channel in &mut quiet {
        channel[LENGTH / 2..].fill(0.0);
    }
    let plain = blocks(&quiet, &[480]);
    let mut masked = plain.clone();
    for block in &mut masked {
        block.inputs[0].flag_silence();
        block.outputs[0].constant_mask = 0b11;
    }
    assert!(masked.iter().any(|block| block.inputs[0].constant_mask != 0));
    let expected = play_anew((SISKIN, 2), RATE_HZ, plain);
    let mut session = session(SISKIN, 2, &AT_WORK);
    session.activate(RATE_HZ, 8192).unwrap();
    assert!(play(&mut session, &mut masked) == expected);
    assert!(masked.iter().all(|block| block.outputs[0].constant_mask == 0));
}

#[test]
fn it_sounds_no_longer_than_its_tail_and_wakes_as_it_fell_asleep() {
    let mut session = session(SISKIN, 2, &AT_WORK);
    session.activate(RATE_HZ, 512).unwrap();
    let loud: Vec<Vec<f32>> = (1..=2).map(|seed| noise(seed).take(24_000).collect()).collect();
    play(&mut session, &mut blocks(&loud, &[512]));
    let tail = session.tail_samples().unwrap() as usize;
    assert_eq!(
        tail,
        session.latency_samples().unwrap() + 3840,
        "the latency and 80 ms"
    );
    let silence = vec![vec![0.0; 48_000]; 2];
    let mut after = play(&mut session, &mut blocks(&silence, &[512]));
    for channel in &mut after {
        let rest = channel.split_off(tail);
        assert!(channel.iter().any(|&sample| sample != 0.0));
        assert!(power_db(&rest[..480]) < -120.0, "{} dB", power_db(&rest[..480]));
        assert!(
            rest[24_000..].iter().all(|&sample| sample == 0.0),
            "exactly nothing in the end"
        );
    }
    // A host that lets it sleep stops it and starts it again: from there it is as new.
    session.stop().unwrap();
    let sound = voice(2, RATE_HZ, LENGTH);
    let woken = play(&mut session, &mut blocks(&sound, &[512]));
    assert!(woken == play_anew((SISKIN, 2), RATE_HZ, blocks(&sound, &[512])));
}

#[test]
fn odd_rates_delay_by_the_lookahead_and_change_nothing_else() {
    for rate_hz in [8000.0, 44_056.0, 44_123.45, 88_200.0, 192_000.0, 384_000.0] {
        for (name, channels) in LAYOUTS {
            let sound = voice(channels, rate_hz, 20_000);
            let mut session = session(name, channels, &NOTHING_TO_DO);
            session.activate(rate_hz, 8192).unwrap();
            let latency = session.latency_samples().unwrap();
            assert_eq!(
                latency,
                (0.005 * rate_hz).round() as usize,
                "{name} at {rate_hz} Hz"
            );
            let output = play(&mut session, &mut blocks(&sound, &[1, 8192, 77]));
            for (output, input) in output.iter().zip(&sound) {
                assert!(output[..latency].iter().all(|&sample| sample == 0.0));
                assert!(
                    output[latency..] == input[..20_000 - latency],
                    "{name} at {rate_hz} Hz"
                );
            }
            let worked = play_anew((name, channels), rate_hz, blocks(&sound, &[1, 8192, 77]));
            assert!(worked.iter().flatten().all(|sample| sample.is_finite()));
        }
    }
}

#[test]
fn a_transport_that_runs_on_from_the_start_or_stands_changes_nothing() {
    let sound = voice(2, RATE_HZ, LENGTH);
    let expected = play_anew((SISKIN, 2), RATE_HZ, blocks(&sound, &[512]));
    let place = |playing: bool, sample: usize, looping: Option<(f64, f64)>| Place {
        playing,
        seconds: sample as f64 / RATE_HZ,
        tempo: 60.0 + (sample % 5) as f64 * 33.0,
        looping,
    };
    for looping in [None, Some((1.0, 1.02))] {
        for (playing, stride) in [(true, 512), (false, 110_400), (false, 0)] {
            let mut blocks = blocks(&sound, &[512]);
            for (index, block) in blocks.iter_mut().enumerate() {
                block.place = (index % 4 != 3).then(|| place(playing, index * stride, looping));
            }
            assert!(
                play_anew((SISKIN, 2), RATE_HZ, blocks) == expected,
                "{playing} {stride} {looping:?}"
            );
        }
    }
}

/// What plays from the middle of a song differs from what plays from the top by this much once the voice is known, dB re
/// the sound; `told` is whether the host says where it plays.
fn difference_from_the_top_db(told: bool) -> f64 {
    let song = sing(RATE_HZ, 1);
    let play_from = |start: usize| {
        let sound = [1.0, 0.5].map(|share| song.audio[start..960_000].iter().map(|x| share * x).collect());
        let mut blocks = blocks(&sound, &[512]);
        for (index, block) in blocks.iter_mut().enumerate().filter(|_| told) {
            block.place = Some(Place {
                playing: true,
                seconds: (start + 512 * index) as f64 / RATE_HZ,
                tempo: 120.0,
                looping: None,
            });
        }
        let mut session = session(SISKIN, 2, &[("sib_prop", "-14 LU")]);
        session.activate(RATE_HZ, 512).unwrap();
        play(&mut session, &mut blocks)
    };
    let (top, here) = (play_from(0), play_from(288_037));
    let compared = 480_000;
    let channels = top.iter().zip(&here);
    let worst = channels.map(|(top, here)| {
        let end = here.len();
        residual_db(&top[top.len() - compared..], &here[end - compared..])
    });
    worst.fold(f32::NEG_INFINITY, f32::max).into()
}

#[test]
fn playback_from_anywhere_sounds_as_from_the_top_where_the_host_says_where_it_plays() {
    let (told_db, untold_db) = (
        difference_from_the_top_db(true),
        difference_from_the_top_db(false),
    );
    println!("{told_db:.1} dB, {untold_db:.1} dB where nothing is told");
    assert!(told_db < -60.0, "{told_db} dB");
    assert!(
        untold_db > told_db + 10.0,
        "where it plays makes no difference: {untold_db} dB"
    );
}

#[test]
fn an_insert_that_was_activated_often_is_as_new() {
    for (name, channels) in LAYOUTS {
        let mut session = session(name, channels, &AT_WORK);
        for turn in 0..30_usize {
            let rate_hz = [44_100.0, 96_000.0, 48_000.0, 192_000.0][turn % 4];
            let most = [64, 8192, 1, 480][turn % 4];
            session.activate(rate_hz, most).unwrap();
            if turn % 3 != 0 {
                let sound = voice(channels, rate_hz, most.min(700));
                play(&mut session, &mut blocks(&sound, &[most]));
            }
            if turn % 5 == 0 {
                session.stop().unwrap();
            }
            session.deactivate();
        }
        session.activate(RATE_HZ, 512).unwrap();
        let sound = voice(channels, RATE_HZ, LENGTH);
        let output = play(&mut session, &mut blocks(&sound, &[512]));
        assert!(
            output == play_anew((name, channels), RATE_HZ, blocks(&sound, &[512])),
            "{name}"
        );
    }
}

#[test]
fn a_reset_while_it_plays_is_a_first_run() {
    let sound = voice(2, RATE_HZ, LENGTH);
    let expected = play_anew((SISKIN, 2), RATE_HZ, blocks(&sound, &[512]));
    let mut session = session(SISKIN, 2, &AT_WORK);
    session.activate(RATE_HZ, 512).unwrap();
    for resets in 0..3 {
        // Other sound first, and not a whole number of hops of it.
        let before: Vec<Vec<f32>> = (5..7)
            .map(|seed| noise(seed).take(5000 + resets).collect())
            .collect();
        play(&mut session, &mut blocks(&before, &[301]));
        session.reset().unwrap();
        assert!(play(&mut session, &mut blocks(&sound, &[512])) == expected);
    }
}

#[test]
fn another_lookahead_asks_for_a_restart_and_tells_the_latency_there() {
    let mut session = session(SISKIN, 2, &[]);
    session.activate(RATE_HZ, 512).unwrap();
    session.wants_restart();
    let changes = session.latency_changes();
    let look = session.parameter("look").unwrap().clone();
    let mut block = Handed::new(&voice(2, RATE_HZ, 512));
    session.process(&mut block).unwrap();
    assert!(!session.wants_restart());
    block.told = vec![Told::value(0, look.clap_id, 0.0)];
    session.process(&mut block).unwrap();
    assert!(session.wants_restart());
    assert_eq!(
        session.latency_changes(),
        changes,
        "CLAP wants it told while it is not active"
    );
    session.deactivate();
    session.activate(RATE_HZ, 512).unwrap();
    assert_eq!(session.latency_changes(), changes + 1);
    assert_eq!(session.latency_samples().unwrap(), 0);
}
