//! The VST3 bundle under a host that goes through the standard call by call: what finished hosts do not reach. What one
//! pass of sound shows in those is in *host_vst3*; hosts that break the rules are in *conform_mistakes*.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::thread::sleep;
use std::time::{Duration, Instant};

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, vst3_bundle};
use siskin_tests::hosts::clap::{
    Answer, Handed, Place, Port, Render, Said, Told, blocks, joined, state_from_json,
};
use siskin_tests::hosts::vst3::{Module, Setup, Vst3Insert};
use siskin_tests::measurement::voices::signals::{noise, phrases};

const RATE_HZ: f64 = 48_000.0;
const LENGTH: usize = 48_000;
/// Speakers of a bus, one bit each.
const MONO: u64 = 0x8_0000;
const STEREO: u64 = 0b11;
const QUAD: u64 = 0b11_0011;

fn voice(channels: usize, rate_hz: f64, length: usize) -> Vec<Vec<f32>> {
    (1..=channels as u64)
        .map(|seed| phrases(rate_hz as f32, length, seed, 0.3, 0.9))
        .collect()
}

fn ready(name: &str, channels: usize, rate_hz: f64, most_samples: usize) -> Vst3Insert {
    let mut insert = Module::load(&vst3_bundle()).insert(name);
    if channels == 1 {
        assert!(insert.arrange(&[MONO], &[MONO]));
    }
    make_ready(&mut insert, rate_hz, most_samples);
    insert
}

fn make_ready(insert: &mut Vst3Insert, rate_hz: f64, most_samples: usize) {
    assert!(insert.set_up(Setup {
        sample_rate_hz: rate_hz,
        most_samples,
        offline: false
    }));
    assert!(insert.set_active(true));
    assert!(insert.set_processing(true));
}

fn stop(insert: &mut Vst3Insert) {
    assert!(insert.set_processing(false));
    assert!(insert.set_active(false));
}

fn play(insert: &mut Vst3Insert, blocks: &mut [Handed]) -> Vec<Vec<f32>> {
    let answers = insert.process_all(blocks);
    assert!(answers.iter().all(|&answer| answer == Answer::Continue));
    joined(blocks)
}

/// The number of the parameter that a person knows as `title`.
fn number(insert: &Vst3Insert, title: &str) -> u32 {
    let mut parameters = insert.parameters().into_iter();
    parameters.find(|parameter| parameter.title == title).unwrap().id
}

/// The side-chain of `name`, silent, for every block.
fn with_side_chain(name: &str, mut blocks: Vec<Handed>) -> Vec<Handed> {
    if name == SISKIN_FOLLOW {
        for block in &mut blocks {
            block
                .inputs
                .push(siskin_tests::hosts::clap::Bus::silent(2, block.samples));
        }
    }
    blocks
}

/// What CLAP makes of the same sound, as it leaves the plug-in.
fn clap(name: &str, channels: usize, rate_hz: f64, sound: &[Vec<f32>]) -> Vec<Vec<f32>> {
    let mut plugin = insert(name);
    plugin.select_channels(channels).unwrap();
    let job = Render {
        timing: siskin_tests::hosts::clap::Timing::AsProcessed,
        ..Render::new(rate_hz, sound)
    };
    plugin.render(&job, &mut |_| {}).unwrap().audio
}

#[test]
fn the_factory_says_what_it_holds_and_is_scanned_in_less_than_a_tenth_of_a_second() {
    let start = Instant::now();
    let module = Module::load(&vst3_bundle());
    let classes = module.classes();
    let took = start.elapsed();
    println!("VST3 scan: {took:?}");
    assert!(took < Duration::from_millis(100), "{took:?}");
    let (vendor, flags) = module.factory();
    assert_eq!((vendor.as_str(), flags), ("Siskin", 16), "16: texts are Unicode");
    let expected = [
        (SISKIN, b"SiskinVoiceInsrt"),
        (SISKIN_FOLLOW, b"SiskinFollowRefV"),
    ];
    assert_eq!(classes.len(), expected.len());
    for (class, (name, id)) in classes.iter().zip(expected) {
        if cfg!(not(windows)) {
            assert_eq!(&class.id, id);
        }
        assert_eq!(class.name, name);
        assert_eq!(class.wide_name, name);
        assert_eq!(class.category, "Audio Module Class");
        assert_eq!(class.subcategories, "Fx|Dynamics");
        assert_eq!(class.vendor, "Siskin");
        assert_eq!(class.version, env!("CARGO_PKG_VERSION"));
    }
    assert_eq!((module.class(-1), module.class(2)), (None, None));
    assert!(module.create(*b"NoSuchPluginHere").is_none());
}

#[test]
fn two_hundred_inserts_come_and_go_in_any_order() {
    let module = Module::load(&vst3_bundle());
    let mut alive: Vec<Vst3Insert> = Vec::new();
    for turn in 0..200_usize {
        alive.push(module.insert([SISKIN, SISKIN_FOLLOW][turn % 2]));
        if turn % 3 == 2 {
            drop(alive.swap_remove((turn * 7919) % alive.len()));
        }
    }
    assert_eq!(alive.len(), 134);
    assert!(alive.iter().all(|insert| insert.save_state().is_some()));
}

#[test]
fn buses_are_as_told_and_other_arrangements_are_refused() {
    let bus = |name: &str, channels, is_main| Port {
        name: name.to_owned(),
        channels,
        is_main,
    };
    let module = Module::load(&vst3_bundle());
    let mut siskin = module.insert(SISKIN);
    assert_eq!(siskin.sample_sizes(), [true, false]);
    assert_eq!(siskin.buses(true), [bus("Input", 2, true)]);
    assert_eq!(siskin.buses(false), [bus("Output", 2, true)]);
    for speakers in [MONO, STEREO] {
        assert!(siskin.arrange(&[speakers], &[speakers]));
        assert_eq!(siskin.buses(true)[0].channels, speakers.count_ones() as usize);
    }
    for (inputs, outputs) in [
        (&[MONO][..], &[STEREO][..]),
        (&[STEREO], &[MONO]),
        (&[QUAD], &[QUAD]),
        (&[STEREO, STEREO], &[STEREO]),
        (&[0], &[STEREO]),
        (&[], &[STEREO]),
        (&[STEREO], &[]),
    ] {
        assert!(!siskin.arrange(inputs, outputs), "{inputs:?} to {outputs:?}");
        assert_eq!(siskin.buses(true)[0].channels, 2, "the arrangement before stands");
    }
    let mut follow = module.insert(SISKIN_FOLLOW);
    assert_eq!(
        follow.buses(true),
        [bus("Input", 2, true), bus("Reference voice", 2, false)]
    );
    assert!(follow.arrange(&[STEREO, STEREO], &[STEREO]));
    for inputs in [
        &[STEREO][..],
        &[STEREO, MONO],
        &[MONO, STEREO],
        &[MONO, MONO],
        &[STEREO, 0],
    ] {
        assert!(!follow.arrange(inputs, &[STEREO]), "{inputs:?}");
    }
}

#[test]
fn groups_are_units_and_the_bypass_is_one() {
    let module = Module::load(&vst3_bundle());
    for (name, count) in [(SISKIN, 26), (SISKIN_FOLLOW, 27)] {
        let insert = module.insert(name);
        let units: Vec<String> = insert.units().into_iter().map(|unit| unit.name).collect();
        for group in ["Leveller", "Sibilance", "Follow", "Breath", "Output"] {
            assert!(units.iter().any(|unit| unit == group), "{units:?}");
        }
        let parameters = insert.parameters();
        assert_eq!(parameters.len(), count);
        for index in [-1, count as i32, count as i32 + 1, i32::MAX, i32::MIN] {
            assert_eq!(insert.parameter(index), None, "{index}");
        }
        let bypasses: Vec<_> = parameters
            .iter()
            .filter(|parameter| parameter.is_bypass)
            .collect();
        assert_eq!(bypasses.len(), 1);
        assert_eq!((bypasses[0].title.as_str(), bypasses[0].steps), ("Bypass", 1));
        for parameter in &parameters {
            assert_eq!(parameter.can_automate, parameter.title != "Lookahead");
            assert_eq!(insert.value(parameter.id), parameter.default);
        }
    }
}

#[test]
fn a_value_arrives_by_hand_by_a_block_and_by_a_block_without_sound() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut insert = Module::load(&vst3_bundle()).insert(name);
        for parameter in insert.parameters() {
            assert!(insert.set(parameter.id, 1.0));
            assert_eq!(insert.value(parameter.id), 1.0, "{}", parameter.title);
        }
        make_ready(&mut insert, RATE_HZ, 512);
        for parameter in insert.parameters() {
            let mut block = with_side_chain(name, blocks(&voice(2, RATE_HZ, 512), &[512])).remove(0);
            let told = |value| Told {
                sample: 0,
                parameter: parameter.id,
                said: Said::Value(value),
            };
            block.told = vec![told(0.0)];
            assert_eq!(insert.process(&mut block), Answer::Continue);
            assert_eq!(insert.value(parameter.id), 0.0, "{}", parameter.title);
            let mut flush = Handed {
                samples: 0,
                inputs: Vec::new(),
                outputs: Vec::new(),
                in_place: false,
                told: vec![told(1.0)],
                place: None,
            };
            assert_eq!(insert.process(&mut flush), Answer::Continue);
            assert_eq!(insert.value(parameter.id), 1.0, "{}", parameter.title);
        }
    }
}

#[test]
fn unknown_ids_change_nothing() {
    let mut insert = ready(SISKIN, 2, RATE_HZ, 512);
    let state = insert.save_state().unwrap();
    let mut block = Handed::new(&voice(2, RATE_HZ, 512));
    block.told = [0, 1, u32::MAX]
        .map(|parameter| Told {
            sample: 5,
            parameter,
            said: Said::Value(1.0),
        })
        .to_vec();
    assert_eq!(insert.process(&mut block), Answer::Continue);
    assert_eq!(insert.save_state().unwrap(), state);
    stop(&mut insert);
    assert!(!insert.set(1, 1.0));
    assert_eq!(insert.save_state().unwrap(), state);
}

#[test]
fn odd_rates_and_changing_blocks_give_what_clap_gives() {
    for (name, channels) in [(SISKIN, 1), (SISKIN, 2), (SISKIN_FOLLOW, 2)] {
        for rate_hz in [44_056.0, 44_123.45, 88_200.0, 192_000.0] {
            let sound = voice(channels, rate_hz, LENGTH);
            let mut insert = ready(name, channels, rate_hz, 8192);
            assert_eq!(insert.latency_samples(), (0.005 * rate_hz).round() as u32);
            let sizes = [1, 8192, 63, 64, 65, 2, 1000, 480];
            let output = play(&mut insert, &mut with_side_chain(name, blocks(&sound, &sizes)));
            assert!(output != sound, "nothing was done");
            assert!(
                output == clap(name, channels, rate_hz, &sound),
                "{name} {channels} at {rate_hz} Hz"
            );
        }
    }
}

#[test]
fn in_place_a_transport_that_stands_or_runs_on_and_silence_flags_change_nothing() {
    let sound = voice(2, RATE_HZ, LENGTH);
    let expected = clap(SISKIN, 2, RATE_HZ, &sound);
    let mut blocks = blocks(&sound, &[512]);
    for (index, block) in blocks.iter_mut().enumerate() {
        block.in_place = index % 2 == 0;
        block.inputs[0].flag_silence();
        block.outputs[0].constant_mask = 0b11;
        block.place = (index % 3 != 0).then(|| Place {
            playing: index % 5 != 0,
            seconds: index as f64 * 512.0 / RATE_HZ,
            tempo: 60.0 + index as f64,
            looping: (index % 2 == 0).then_some((1.0, 1.5)),
        });
    }
    let mut insert = ready(SISKIN, 2, RATE_HZ, 512);
    assert!(play(&mut insert, &mut blocks) == expected);
    assert!(blocks.iter().all(|block| block.outputs[0].constant_mask == 0));
}

#[test]
fn an_insert_that_was_activated_often_is_as_new() {
    let mut insert = Module::load(&vst3_bundle()).insert(SISKIN);
    for turn in 0..30_usize {
        let speakers = [MONO, STEREO][turn % 2];
        assert!(insert.arrange(&[speakers], &[speakers]));
        let rate_hz = [44_100.0, 96_000.0, 192_000.0][turn % 3];
        make_ready(&mut insert, rate_hz, 333);
        let sound = voice(speakers.count_ones() as usize, rate_hz, 700);
        play(&mut insert, &mut blocks(&sound, &[333]));
        stop(&mut insert);
    }
    assert!(insert.arrange(&[STEREO], &[STEREO]));
    make_ready(&mut insert, RATE_HZ, 512);
    let sound = voice(2, RATE_HZ, LENGTH);
    let expected = clap(SISKIN, 2, RATE_HZ, &sound);
    assert!(play(&mut insert, &mut blocks(&sound, &[512])) == expected);
    // To stop and start is a reset.
    let other: Vec<Vec<f32>> = (5..7).map(|seed| noise(seed).take(5001).collect()).collect();
    play(&mut insert, &mut blocks(&other, &[301]));
    assert!(insert.set_processing(false) && insert.set_processing(true));
    assert!(play(&mut insert, &mut blocks(&sound, &[512])) == expected);
    assert_eq!(insert.tail_samples(), insert.latency_samples() + 3840);
}

#[test]
fn another_lookahead_tells_the_host_that_the_latency_changed() {
    let mut insert = ready(SISKIN, 2, RATE_HZ, 512);
    assert_eq!(insert.latency_samples(), 240);
    insert.take_asked();
    let mut block = Handed::new(&voice(2, RATE_HZ, 512));
    block.told = vec![Told {
        sample: 0,
        parameter: number(&insert, "Lookahead"),
        said: Said::Value(0.0),
    }];
    insert.process(&mut block);
    assert_eq!(insert.latency_samples(), 0);
    // The framework tells from a thread of its own.
    let start = Instant::now();
    while !insert.take_asked().latency_changed {
        assert!(start.elapsed() < Duration::from_secs(5), "nobody told");
        sleep(Duration::from_millis(5));
    }
}

/// The framework's background thread, which the inserts of a kind share, used to end where a value came up whose insert was
/// gone; then the host heard nothing more, and the last insert to go ended the program.
#[test]
fn inserts_that_go_while_values_are_on_their_way_leave_the_others_whole() {
    let mut stays = ready(SISKIN, 2, RATE_HZ, 512);
    let look = number(&stays, "Lookahead");
    for turn in 0..40 {
        let mut goes = ready(SISKIN, 2, RATE_HZ, 512);
        let mut block = Handed::new(&voice(2, RATE_HZ, 512));
        let told = |index: usize, parameter: u32| Told {
            sample: index as u32,
            parameter,
            said: Said::Value((turn + index) as f64 % 7.0 / 7.0),
        };
        let parameters: Vec<u32> = goes.parameters().iter().map(|parameter| parameter.id).collect();
        block.told = (0..500)
            .map(|index| told(index, parameters[index % parameters.len()]))
            .collect();
        goes.process(&mut block);
        drop(goes);
    }
    stays.take_asked();
    let mut block = Handed::new(&voice(2, RATE_HZ, 512));
    block.told = vec![Told {
        sample: 0,
        parameter: look,
        said: Said::Value(0.0),
    }];
    stays.process(&mut block);
    let start = Instant::now();
    while !stays.take_asked().latency_changed {
        assert!(
            start.elapsed() < Duration::from_secs(5),
            "the background thread is gone"
        );
        sleep(Duration::from_millis(5));
    }
}

#[test]
fn a_state_of_clap_is_a_state_of_vst3() {
    let mut clap = insert(SISKIN);
    clap.load_preset("lead").unwrap();
    let saved = clap.save_state().unwrap();
    let mut vst3 = Module::load(&vst3_bundle()).insert(SISKIN);
    let fresh = vst3.save_state().unwrap();
    assert!(vst3.load_state(&saved[8..]));
    let taken = vst3.save_state().unwrap();
    assert_ne!(taken, fresh);
    assert_eq!(state_from_json(&taken), saved);
}
