//! Hosts that break the rules, in both formats: missing buses, channels that point nowhere, wrong counts, wrong times, no
//! numbers. Nothing may fall over, nothing may read or write what it was not given, and what can be processed is.
//!
//! Siskin has no side-chain, so that no host can put it at risk there; Siskin Follow is shown to be safe with every shape
//! of a missing one: it is then Siskin.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, vst3_bundle};
use siskin_tests::hosts::clap::{Answer, Bus, Handed, Said, Session, Told, UNTOUCHED, blocks, joined};
use siskin_tests::hosts::vst3::{Module, Setup, Vst3Insert};
use siskin_tests::measurement::voices::signals::phrases;

const RATE_HZ: f64 = 48_000.0;
/// Half a second: the whole file also runs under a tool that makes it fifty times slower.
const LENGTH: usize = 24_000;
const MOST_SAMPLES: usize = 512;
/// Blocks of changing sizes, as a framework that keeps the size of the last block would not survive.
const SIZES: [usize; 5] = [64, 512, 1, 333, 500];

/// An insert in either format, ready for sound.
enum Ready {
    Clap(Session),
    Vst3(Vst3Insert),
}

impl Ready {
    fn both(name: &str) -> [Self; 2] {
        let mut clap = insert(name).session();
        clap.activate(RATE_HZ, MOST_SAMPLES).unwrap();
        let mut vst3 = Module::load(&vst3_bundle()).insert(name);
        let setup = Setup {
            sample_rate_hz: RATE_HZ,
            most_samples: MOST_SAMPLES,
            offline: false,
        };
        assert!(vst3.set_up(setup) && vst3.set_active(true) && vst3.set_processing(true));
        [Self::Clap(clap), Self::Vst3(vst3)]
    }

    fn format(&self) -> &'static str {
        match self {
            Self::Clap(_) => "CLAP",
            Self::Vst3(_) => "VST3",
        }
    }

    fn process_all(&mut self, blocks: &mut [Handed]) -> Vec<Answer> {
        match self {
            Self::Clap(session) => session.process_all(blocks).unwrap(),
            Self::Vst3(insert) => insert.process_all(blocks),
        }
    }

    fn save_state(&mut self) -> Vec<u8> {
        match self {
            Self::Clap(session) => session.save_state().unwrap(),
            Self::Vst3(insert) => insert.save_state().unwrap(),
        }
    }

    /// The number of a parameter, which both formats share.
    fn number(&self, id: &str) -> u32 {
        insert(SISKIN).parameter(id).unwrap().clap_id.get()
    }
}

fn voice(seed: u64) -> Vec<Vec<f32>> {
    (seed..seed + 2)
        .map(|seed| phrases(RATE_HZ as f32, LENGTH, seed, 0.3, 0.9))
        .collect()
}

/// The part of `sound` that a block of `samples` samples from `start` on holds.
fn piece(sound: &[Vec<f32>], start: usize, samples: usize) -> Vec<Vec<f32>> {
    sound
        .iter()
        .map(|channel| channel[start..start + samples].to_vec())
        .collect()
}

fn is_fine(answers: &[Answer]) -> bool {
    answers.iter().all(|&answer| answer != Answer::Refused)
}

/// A shape of a side-chain: what it is, and its buses in a block of so many samples.
type Shape = (&'static str, fn(usize) -> Vec<Bus>);

/// Every shape of a side-chain that is not all there; each may be heard as silence only.
fn missing_side_chains() -> Vec<Shape> {
    vec![
        ("no bus", |_| Vec::new()),
        ("no list of channels", |_| {
            vec![Bus {
                channels: None,
                constant_mask: 0,
            }]
        }),
        ("no channels", |_| {
            vec![Bus {
                channels: Some(Vec::new()),
                constant_mask: 0,
            }]
        }),
        ("null channels", |_| {
            vec![Bus {
                channels: Some(vec![None, None]),
                constant_mask: 0b11,
            }]
        }),
        ("one silent channel", |samples| vec![Bus::silent(1, samples)]),
        ("one silent channel and null", |samples| {
            vec![Bus {
                channels: Some(vec![Some(vec![0.0; samples]), None]),
                constant_mask: 0,
            }]
        }),
        ("eight silent channels", |samples| vec![Bus::silent(8, samples)]),
        ("three buses", |samples| vec![Bus::silent(2, samples); 3]),
    ]
}

#[test]
fn siskin_follow_without_its_side_chain_is_siskin_in_whatever_way_it_is_missing() {
    let sound = voice(1);
    let [mut clap, _] = Ready::both(SISKIN);
    let mut plain = blocks(&sound, &SIZES);
    assert!(is_fine(&clap.process_all(&mut plain)));
    let expected = joined(&plain);
    assert_ne!(expected, sound);
    for (shape, side_chain) in missing_side_chains() {
        for mut follow in Ready::both(SISKIN_FOLLOW) {
            let mut given = blocks(&sound, &SIZES);
            for block in &mut given {
                block.inputs.extend(side_chain(block.samples));
            }
            assert!(
                is_fine(&follow.process_all(&mut given)),
                "{} {shape}",
                follow.format()
            );
            assert!(joined(&given) == expected, "{} {shape}", follow.format());
        }
    }
}

#[test]
fn a_side_chain_that_comes_and_goes_is_heard_while_it_is_there() {
    let (sound, lead) = (voice(1), voice(9));
    for mut follow in Ready::both(SISKIN_FOLLOW) {
        let mut given = blocks(&sound, &SIZES);
        let mut start = 0;
        for (index, block) in given.iter_mut().enumerate() {
            let piece = piece(&lead, start, block.samples);
            start += block.samples;
            if index % 3 != 1 {
                block.inputs.push(Bus::new(&piece));
            }
        }
        assert!(is_fine(&follow.process_all(&mut given)));
        let output = joined(&given);
        assert!(
            output
                .iter()
                .flatten()
                .all(|sample| sample.is_finite() && sample.abs() < 4.0)
        );
        let mut alone = blocks(&sound, &SIZES);
        let [mut clap, _] = Ready::both(SISKIN_FOLLOW);
        clap.process_all(&mut alone);
        assert!(
            joined(&alone) != output,
            "{}: the lead was heard",
            follow.format()
        );
    }
}

#[test]
fn a_mono_reference_on_one_channel_is_heard() {
    let (sound, lead) = (voice(1), voice(9));
    let play = |follow: &mut Ready, lead: &dyn Fn(Vec<Vec<f32>>) -> Bus, reference: &[Vec<f32>]| {
        let mut given = blocks(&sound, &SIZES);
        let mut start = 0;
        for block in &mut given {
            let piece = piece(reference, start, block.samples);
            start += block.samples;
            block.inputs.push(lead(piece));
        }
        assert!(is_fine(&follow.process_all(&mut given)));
        joined(&given)
    };
    for format in 0..2 {
        let one = |piece: Vec<Vec<f32>>| Bus::new(&piece[..1]);
        let and_silence = |piece: Vec<Vec<f32>>| {
            let silence = vec![0.0; piece[0].len()];
            Bus::new(&[piece[0].clone(), silence])
        };
        let [mut first, mut second, mut third] = [(); 3].map(|()| {
            let [clap, vst3] = Ready::both(SISKIN_FOLLOW);
            if format == 0 { clap } else { vst3 }
        });
        let mono = play(&mut first, &one, &lead);
        let padded = play(&mut second, &and_silence, &lead);
        let silent = play(&mut third, &one, &[vec![0.0; LENGTH], vec![0.0; LENGTH]]);
        assert!(mono == padded);
        assert!(mono != silent, "the one channel is heard");
    }
}

#[test]
fn a_main_input_that_is_missing_is_silence() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        for mut ready in Ready::both(name) {
            for input in [None, Some(Vec::new()), Some(vec![None, None])] {
                let mut block = Handed::new(&vec![vec![0.5; MOST_SAMPLES]; 2]);
                block.inputs = vec![Bus {
                    channels: input,
                    constant_mask: 0,
                }];
                assert!(is_fine(&ready.process_all(std::slice::from_mut(&mut block))));
                assert_eq!(
                    block.output(),
                    vec![vec![0.0; MOST_SAMPLES]; 2],
                    "{name} {}",
                    ready.format()
                );
            }
            let mut block = Handed::new(&vec![vec![0.5; MOST_SAMPLES]; 2]);
            block.inputs.clear();
            assert!(is_fine(&ready.process_all(std::slice::from_mut(&mut block))));
            assert_eq!(
                block.output(),
                vec![vec![0.0; MOST_SAMPLES]; 2],
                "{name} {}",
                ready.format()
            );
        }
    }
}

#[test]
fn an_output_that_is_not_whole_is_not_written() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        for mut ready in Ready::both(name) {
            let here = || Some(vec![UNTOUCHED; MOST_SAMPLES]);
            for output in [
                None,
                Some(Vec::new()),
                Some(vec![here()]),
                Some(vec![here(), None]),
            ] {
                let mut block = Handed::new(&vec![vec![0.5; MOST_SAMPLES]; 2]);
                block.outputs[0].channels = output;
                block.told = vec![Told {
                    sample: 0,
                    parameter: ready.number("sib_prop"),
                    said: Said::Value(0.25),
                }];
                let before = block.outputs[0].sound();
                ready.process_all(std::slice::from_mut(&mut block));
                assert_eq!(block.outputs[0].sound(), before, "{name} {}", ready.format());
            }
            let state = String::from_utf8_lossy(&ready.save_state()).into_owned();
            assert!(
                state.contains(r#""sib_prop":{"f32":-15.0}"#),
                "the values arrived all the same: {state}"
            );
            let mut none = Handed::new(&vec![vec![0.5; MOST_SAMPLES]; 2]);
            none.outputs.clear();
            ready.process_all(std::slice::from_mut(&mut none));
            // And then it goes on as if nothing had been.
            let mut block = Handed::new(&vec![vec![0.5; MOST_SAMPLES]; 2]);
            assert!(is_fine(&ready.process_all(std::slice::from_mut(&mut block))));
            assert!(block.output().iter().flatten().all(|&sample| sample != UNTOUCHED));
        }
    }
}

#[test]
fn more_channels_than_were_agreed_are_left_alone() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        for mut ready in Ready::both(name) {
            let mut block = Handed::new(&vec![vec![0.25; MOST_SAMPLES]; 6]);
            assert!(is_fine(&ready.process_all(std::slice::from_mut(&mut block))));
            let output = block.output();
            assert!(output[..2].iter().flatten().all(|&sample| sample != UNTOUCHED));
            assert_eq!(
                output[2..],
                vec![vec![UNTOUCHED; MOST_SAMPLES]; 4],
                "{name} {}",
                ready.format()
            );
        }
    }
}

#[test]
fn a_block_that_is_longer_than_agreed_never_reads_beyond_what_is_there() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        for mut ready in Ready::both(name) {
            let sound = vec![vec![0.25; 4 * MOST_SAMPLES]; 2];
            let mut block = Handed::new(&sound);
            let answer = ready.process_all(std::slice::from_mut(&mut block))[0];
            let written = block.output().iter().flatten().all(|&sample| sample != UNTOUCHED);
            // Siskin needs no silence in its place; Siskin Follow refuses what it cannot give a side-chain to.
            assert_eq!(
                answer == Answer::Refused,
                name == SISKIN_FOLLOW,
                "{name} {}",
                ready.format()
            );
            assert_eq!(written, name == SISKIN);
        }
    }
}

#[test]
fn a_value_behind_the_end_of_the_block_is_heard_at_its_end_and_disorder_does_no_harm() {
    for mut ready in Ready::both(SISKIN) {
        let gain = ready.number("out_gain");
        let told = |sample, value| Told {
            sample,
            parameter: gain,
            said: Said::Value(value),
        };
        for samples in [0, 1, 64, MOST_SAMPLES] {
            let mut block = Handed::new(&vec![vec![0.25; samples]; 2]);
            block.told = [400, 3, 511, 512, 4_000_000_000, 0, 700, 2]
                .map(|sample| told(sample, 0.25))
                .to_vec();
            block.told.push(told(100_000, 0.75));
            ready.process_all(std::slice::from_mut(&mut block));
            let state = String::from_utf8_lossy(&ready.save_state()).into_owned();
            let arrived =
                state.contains(r#""out_gain":{"f32":12.0}"#) || state.contains(r#""out_gain":{"f32":-12.0}"#);
            assert!(arrived, "{} {samples}: {state}", ready.format());
        }
    }
}

#[test]
fn no_number_from_a_host_stays_in_a_state() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        for mut ready in Ready::both(name) {
            let fresh = ready.save_state();
            let numbers: Vec<u32> = insert(name)
                .parameters()
                .iter()
                .map(|parameter| parameter.clap_id.get())
                .collect();
            for &parameter in &numbers {
                let before = ready.save_state();
                let bad = |said| Told {
                    sample: 1,
                    parameter,
                    said,
                };
                let mut block = Handed::new(&vec![vec![0.25; 64]; 2]);
                let values = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY];
                block.told = values.map(|value| bad(Said::Value(value))).to_vec();
                block
                    .told
                    .extend(values.map(|value| bad(Said::Modulation(value))));
                assert!(is_fine(&ready.process_all(std::slice::from_mut(&mut block))));
                assert!(block.output().iter().flatten().all(|sample| sample.is_finite()));
                assert_eq!(ready.save_state(), before, "{name} {}", ready.format());
                // Numbers that are no f32 are the nearest end of the travel.
                for huge in [1e300, -1e300, f64::MIN_POSITIVE, 2.0, -2.0] {
                    block.told = vec![bad(Said::Value(huge))];
                    ready.process_all(std::slice::from_mut(&mut block));
                }
                block.told = vec![bad(Said::Modulation(1e300)), bad(Said::Modulation(0.0))];
                ready.process_all(std::slice::from_mut(&mut block));
            }
            let state = ready.save_state();
            assert_ne!(state, fresh);
            match &mut ready {
                Ready::Clap(session) => session.load_state(&state).unwrap(),
                Ready::Vst3(insert) => assert!(insert.load_state(&state)),
            }
            assert_eq!(ready.save_state(), state, "{name}");
            assert!(!String::from_utf8_lossy(&state).contains("null"));
        }
    }
}

#[test]
fn no_index_beyond_the_parameters_ends_the_program() {
    // CLAP: the host's own reader of parameters stops at the count; here it is asked for more.
    let mut plugin = insert(SISKIN);
    let count = plugin.parameters().len() as u32;
    for index in [count, count + 1, u32::MAX] {
        assert!(!plugin.tells_of_parameter(index).unwrap(), "{index}");
    }
    assert!(plugin.tells_of_parameter(count - 1).unwrap());
}

/// Set in the child process, which tests memory while it runs the others.
const UNDER_VALGRIND: &str = "SISKIN_UNDER_VALGRIND";

#[test]
#[cfg(target_os = "linux")]
fn no_memory_is_touched_that_was_not_given() {
    if std::env::var_os(UNDER_VALGRIND).is_some() {
        return;
    }
    let child = std::process::Command::new("valgrind")
        .args(["--quiet", "--leak-check=no", "--error-exitcode=77"])
        .arg(std::env::current_exe().unwrap())
        .arg("--test-threads=1")
        .env(UNDER_VALGRIND, "1")
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&child.stderr);
    assert!(child.status.success(), "{}: {said}", child.status);
    let ran = String::from_utf8_lossy(&child.stdout);
    assert!(ran.contains("11 passed"), "{ran}");
}
