//! What VST3 alone has, call by call. What both formats have is in *conform*, one pass of sound in other makers' hosts in
//! *host_vst3*.

use std::time::Duration;

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, vst3_bundle};
use siskin_tests::hosts::clap::{Port, state_from_json};
use siskin_tests::hosts::fixtures::{RATE_HZ, voice, vst3_insert};
use siskin_tests::hosts::vst3::{Module, Vst3Insert};
use siskin_tests::hosts::{HostBlock, Insert, ParamEvent, processor_time};

/// Speakers of a bus, one bit each.
const MONO: u64 = 0x8_0000;
const STEREO: u64 = 0b11;
const QUAD: u64 = 0b11_0011;

#[test]
fn factory_lists_both_classes_in_a_tenth_of_a_second_of_processor_time() {
    let start = processor_time();
    let module = Module::load(&vst3_bundle());
    let classes = module.classes();
    let took = processor_time().saturating_sub(start);
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
fn other_bus_arrangements_are_refused() {
    let bus = |name: &str, channels, is_main| Port {
        name: name.to_owned(),
        channels,
        is_main,
    };
    let module = Module::load(&vst3_bundle());
    let mut siskin = module.insert(SISKIN);
    assert_eq!(siskin.sample_sizes(), [true, true]);
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
        assert_eq!(siskin.buses(true)[0].channels, 2, "the arrangement is as before");
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
    for (name, count) in [(SISKIN, 28), (SISKIN_FOLLOW, 29)] {
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
            let is_fixed = ["Lookahead", "Channels", "Part"].contains(&parameter.title.as_str());
            assert_eq!(parameter.can_automate, !is_fixed, "{}", parameter.title);
            assert_eq!(insert.value(parameter.id), parameter.default);
        }
    }
}

#[test]
fn clap_state_loads_in_vst3() {
    let mut clap = insert(SISKIN);
    clap.load_preset("lead").unwrap();
    let saved = clap.save_state().unwrap();
    let mut vst3 = vst3_insert(SISKIN);
    let fresh = vst3.save_state().unwrap();
    assert!(vst3.load_state(&saved[8..]));
    let loaded = vst3.save_state().unwrap();
    assert_ne!(loaded, fresh);
    assert_eq!(state_from_json(&loaded), saved);
}

fn active() -> Vst3Insert {
    let mut insert = vst3_insert(SISKIN);
    assert!(insert.activate(RATE_HZ, 512));
    insert
}

/// The framework's background thread, which the inserts of a kind share, used to end where a value came up whose insert was
/// gone; then the host heard nothing more, and the last insert to go ended the program.
#[test]
fn inserts_that_go_with_values_under_way_leave_the_others_whole() {
    let mut stays = active();
    let parameters: Vec<u32> = stays.parameters().iter().map(|parameter| parameter.id).collect();
    let look = stays.number_of("Lookahead");
    for turn in 0..40 {
        let mut goes = active();
        let mut block = HostBlock::new(&voice(1, 2, RATE_HZ, 512));
        let event = |index: usize| {
            let value = (turn + index) as f64 % 7.0 / 7.0;
            ParamEvent::value(index as u32, parameters[index % parameters.len()], value)
        };
        block.events = (0..500).map(event).collect();
        goes.process(&mut block);
    }
    let mut block = HostBlock::new(&voice(1, 2, RATE_HZ, 512));
    block.events = vec![ParamEvent::value(0, look, 0.0)];
    stays.take_requests();
    stays.process(&mut block);
    Insert::Vst3(stays).wait_for_restart();
}
