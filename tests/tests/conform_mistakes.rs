//! Hosts that break the rules, in both formats: missing buses, channels that point nowhere, wrong counts, wrong times, no
//! numbers. Nothing may fall over, nothing may read or write what it was not given, and what can be processed is.
//!
//! Siskin has no side-chain, so that no host can put it at risk there; Siskin Follow is shown to be safe with every shape
//! of a missing one: it is then Siskin.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::fixtures::{ALL_STAGES, RATE_HZ, both_with, play, voice};
use siskin_tests::hosts::{Bus, EventKind, HostBlock, Insert, ParamEvent, ProcessStatus, UNWRITTEN, blocks};

/// Half a second: the whole file also runs under a tool that makes it fifty times slower.
const LENGTH: usize = 24_000;
const MOST_SAMPLES: usize = 512;
/// Blocks of changing sizes, as a framework that keeps the size of the last block would not survive.
const SIZES: [usize; 5] = [64, 512, 1, 333, 500];

/// Active inserts of `names` in both formats, each with what it is.
fn active(names: &[&str], settings: &[(&str, &str)]) -> Vec<(Insert, String)> {
    let mut inserts = Vec::new();
    for name in names {
        for mut insert in both_with(name, 2, settings) {
            insert.activate(RATE_HZ, MOST_SAMPLES).unwrap();
            let case = format!("{} {name}", insert.format());
            inserts.push((insert, case));
        }
    }
    inserts
}

/// The number of a parameter, which both formats share.
fn number(id: &str) -> u32 {
    insert(SISKIN).parameter(id).unwrap().clap_id
}

/// `sound` in blocks, each with a side-chain of `lead` in such a shape.
fn with_lead(
    sound: &[Vec<f32>],
    lead: &[Vec<f32>],
    shape: impl Fn(usize, Vec<Vec<f32>>) -> Option<Bus>,
) -> Vec<HostBlock> {
    let mut given = blocks(sound, &SIZES);
    for (index, (block, lead)) in given.iter_mut().zip(blocks(lead, &SIZES)).enumerate() {
        block.inputs.extend(shape(index, lead.inputs[0].sound()));
    }
    given
}

/// A block of a constant for two channels.
fn constant(value: f32, samples: usize) -> HostBlock {
    HostBlock::new(&vec![vec![value; samples]; 2])
}

/// A side-chain of so many samples that is not all there: only silence may be heard.
type Shape = (&'static str, fn(usize) -> Vec<Bus>);

const MISSING_SIDE_CHAINS: [Shape; 8] = [
    ("no bus", |_| Vec::new()),
    ("no list of channels", |_| vec![Bus::of(None)]),
    ("no channels", |_| vec![Bus::of(Some(Vec::new()))]),
    ("null channels", |_| {
        vec![Bus {
            constant_mask: 0b11,
            ..Bus::of(Some(vec![None, None]))
        }]
    }),
    ("one silent channel", |samples| vec![Bus::silent(1, samples)]),
    ("one silent channel and null", |samples| {
        vec![Bus::of(Some(vec![Some(vec![0.0; samples]), None]))]
    }),
    ("eight silent channels", |samples| vec![Bus::silent(8, samples)]),
    ("three buses", |samples| vec![Bus::silent(2, samples); 3]),
];

#[test]
fn siskin_follow_with_a_missing_side_chain_is_siskin() {
    let sound = voice(1, 2, RATE_HZ, LENGTH);
    let (mut siskin, _) = active(&[SISKIN], ALL_STAGES).swap_remove(0);
    let expected = play(&mut siskin, &mut blocks(&sound, &SIZES));
    assert_ne!(expected, sound);
    for (shape, side_chain) in MISSING_SIDE_CHAINS {
        for (mut follow, case) in active(&[SISKIN_FOLLOW], ALL_STAGES) {
            let mut given = blocks(&sound, &SIZES);
            for block in &mut given {
                block.inputs.extend(side_chain(block.samples));
            }
            assert!(play(&mut follow, &mut given) == expected, "{case}, {shape}");
        }
    }
}

#[test]
fn side_chain_that_comes_and_goes_is_heard_while_it_is_there() {
    let (sound, lead) = (voice(1, 2, RATE_HZ, LENGTH), voice(9, 2, RATE_HZ, LENGTH));
    let (mut follow, _) = active(&[SISKIN_FOLLOW], &[]).swap_remove(0);
    let alone = play(&mut follow, &mut blocks(&sound, &SIZES));
    for (mut follow, case) in active(&[SISKIN_FOLLOW], &[]) {
        let mut given = with_lead(&sound, &lead, |index, lead| {
            (index % 3 != 1).then(|| Bus::new(&lead))
        });
        let output = play(&mut follow, &mut given);
        let is_bounded = |sample: &f32| sample.is_finite() && sample.abs() < 4.0;
        assert!(output.iter().flatten().all(is_bounded));
        assert!(alone != output, "{case}: the lead was not heard");
    }
}

#[test]
fn mono_reference_on_one_channel_is_heard() {
    let (sound, lead) = (voice(1, 2, RATE_HZ, LENGTH), voice(9, 2, RATE_HZ, LENGTH));
    for format in 0..2 {
        let play = |lead: &[Vec<f32>], channels: usize| {
            let mut given = with_lead(&sound, lead, |_, mut lead| {
                lead[1].fill(0.0);
                Some(Bus::new(&lead[..channels]))
            });
            play(
                &mut active(&[SISKIN_FOLLOW], &[]).swap_remove(format).0,
                &mut given,
            )
        };
        let mono = play(&lead, 1);
        assert!(mono == play(&lead, 2));
        assert!(
            mono != play(&vec![vec![0.0; LENGTH]; 2], 1),
            "the one channel is not heard"
        );
    }
}

#[test]
fn missing_main_input_is_silence() {
    for (mut insert, case) in active(&[SISKIN, SISKIN_FOLLOW], &[]) {
        let channels = [None, Some(Vec::new()), Some(vec![None, None])];
        let inputs = channels.map(|channels| vec![Bus::of(channels)]);
        for inputs in inputs.into_iter().chain([Vec::new()]) {
            let mut block = constant(0.5, MOST_SAMPLES);
            block.inputs = inputs;
            assert_ne!(insert.process(&mut block).unwrap(), ProcessStatus::Refused);
            assert_eq!(block.output(), vec![vec![0.0; MOST_SAMPLES]; 2], "{case}");
        }
    }
}

#[test]
fn incomplete_output_is_not_written() {
    let here = || Some(vec![UNWRITTEN; MOST_SAMPLES]);
    for (mut insert, case) in active(&[SISKIN, SISKIN_FOLLOW], &[]) {
        for output in [
            None,
            Some(Vec::new()),
            Some(vec![here()]),
            Some(vec![here(), None]),
        ] {
            let mut block = constant(0.5, MOST_SAMPLES);
            block.outputs[0].channels = output;
            block.events = vec![ParamEvent::value(0, number("sib_prop"), 0.25)];
            let before = block.outputs[0].sound();
            insert.process(&mut block).unwrap();
            assert_eq!(block.outputs[0].sound(), before, "{case}");
        }
        let state = String::from_utf8(insert.save_json().unwrap()).unwrap();
        assert!(
            state.contains(r#""sib_prop":{"f32":-15.0}"#),
            "the values are lost: {state}"
        );
        let mut none = constant(0.5, MOST_SAMPLES);
        none.outputs.clear();
        insert.process(&mut none).unwrap();
        // It goes on as if nothing had been.
        let mut block = constant(0.5, MOST_SAMPLES);
        assert_ne!(insert.process(&mut block).unwrap(), ProcessStatus::Refused);
        assert!(block.output().iter().flatten().all(|&sample| sample != UNWRITTEN));
    }
}

#[test]
fn channels_beyond_the_layout_are_left_alone() {
    for (mut insert, case) in active(&[SISKIN, SISKIN_FOLLOW], &[]) {
        let mut block = HostBlock::new(&vec![vec![0.25; MOST_SAMPLES]; 6]);
        assert_ne!(insert.process(&mut block).unwrap(), ProcessStatus::Refused);
        let output = block.output();
        assert!(output[..2].iter().flatten().all(|&sample| sample != UNWRITTEN));
        assert_eq!(output[2..], vec![vec![UNWRITTEN; MOST_SAMPLES]; 4], "{case}");
    }
}

#[test]
fn block_longer_than_agreed_is_read_only_where_there_is_sound() {
    for (mut insert, case) in active(&[SISKIN, SISKIN_FOLLOW], &[]) {
        let mut block = constant(0.25, 4 * MOST_SAMPLES);
        let status = insert.process(&mut block).unwrap();
        let is_written = block.output().iter().flatten().all(|&sample| sample != UNWRITTEN);
        // Siskin needs no silence in its place; Siskin Follow refuses what it cannot give a side-chain to.
        assert_eq!(
            status == ProcessStatus::Refused,
            case.ends_with(SISKIN_FOLLOW),
            "{case}"
        );
        assert_eq!(is_written, !case.ends_with(SISKIN_FOLLOW), "{case}");
    }
}

#[test]
fn values_beyond_the_block_arrive_at_its_end_in_the_order_of_the_list() {
    for (mut insert, case) in active(&[SISKIN], &[]) {
        let gain = number("out_gain");
        for samples in [0, 1, 64, MOST_SAMPLES] {
            let mut block = constant(0.25, samples);
            let times = [400, 3, 511, 512, 4_000_000_000, 0, 700, 2];
            block.events = times.map(|sample| ParamEvent::value(sample, gain, 0.25)).to_vec();
            block.events.push(ParamEvent::value(100_000, gain, 0.75));
            insert.process(&mut block).unwrap();
            let state = String::from_utf8(insert.save_json().unwrap()).unwrap();
            assert!(
                state.contains(r#""out_gain":{"f32":12.0}"#),
                "{case} {samples}: {state}"
            );
        }
    }
}

#[test]
fn values_that_are_no_numbers_reach_no_state() {
    for (mut insert, case) in active(&[SISKIN, SISKIN_FOLLOW], &[]) {
        let fresh = insert.save_state().unwrap();
        for parameter in insert.parameters().into_iter().map(|parameter| parameter.number) {
            let before = insert.save_state().unwrap();
            let event = |kind| ParamEvent {
                sample: 1,
                parameter,
                kind,
            };
            let mut block = constant(0.25, 64);
            let values = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY];
            let kinds = values
                .map(EventKind::Value)
                .into_iter()
                .chain(values.map(EventKind::Modulation));
            block.events = kinds.map(event).collect();
            assert_ne!(insert.process(&mut block).unwrap(), ProcessStatus::Refused);
            assert!(block.output().iter().flatten().all(|sample| sample.is_finite()));
            assert_eq!(insert.save_state().unwrap(), before, "{case}");
            // Numbers that are no f32 are the nearest end of the range.
            for huge in [1e300, -1e300, f64::MIN_POSITIVE, 2.0, -2.0] {
                block.events = vec![event(EventKind::Value(huge))];
                insert.process(&mut block).unwrap();
            }
            block.events = [1e300, 0.0].map(EventKind::Modulation).map(event).to_vec();
            insert.process(&mut block).unwrap();
        }
        let state = insert.save_state().unwrap();
        assert_ne!(state, fresh);
        assert!(insert.load_state(&state));
        assert_eq!(insert.save_state().unwrap(), state, "{case}");
        assert!(!String::from_utf8_lossy(&state).contains("null"));
    }
}

#[test]
fn parameter_index_beyond_the_count_is_refused() {
    // CLAP: the host's own reader of parameters stops at the count; here it is asked for more.
    let mut plugin = insert(SISKIN);
    let count = plugin.parameters().len() as u32;
    for index in [count, count + 1, u32::MAX] {
        assert!(!plugin.has_parameter(index).unwrap(), "{index}");
    }
    assert!(plugin.has_parameter(count - 1).unwrap());
}

/// Set in the child process, which tests memory while it runs the others.
#[cfg(target_os = "linux")]
const UNDER_VALGRIND: &str = "SISKIN_UNDER_VALGRIND";

#[test]
#[cfg(target_os = "linux")]
fn no_memory_is_touched_beyond_the_buffers() {
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
    let errors = String::from_utf8_lossy(&child.stderr);
    assert!(child.status.success(), "{}: {errors}", child.status);
    let ran = String::from_utf8_lossy(&child.stdout);
    assert!(ran.contains("11 passed"), "{ran}");
}
