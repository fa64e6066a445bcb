//! The CLAP bundle in a host: what it says of itself, what it keeps, and how sound and settings pass through it.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, clap_bundle, insert};
use siskin_tests::hosts::clap::{Bundle, Change, Event, Mode, Plugin, Render, Rendering, Timing};
use siskin_tests::measurement::voices::signals::{noise, phrases, power_db};

const RATE_HZ: f64 = 48_000.0;
/// Two seconds: four phrases.
const LENGTH: usize = 96_000;

/// Settings under which there is nothing to do.
const NOTHING_TO_DO: &[(&str, &str)] = &[
    ("lev_on", "off"),
    ("sib_on", "off"),
    ("br_on", "off"),
    ("out_gain", "0 dB"),
];
/// Settings under which every stage works.
const EVERYTHING: &[(&str, &str)] = &[
    ("lev_on", "on"),
    ("lev_gain", "10 dB"),
    ("lev_auto", "on"),
    ("sib_prop", "-12 LU"),
    ("sib_reach", "50 %"),
    ("br_on", "on"),
    ("br_cut", "200 Hz"),
    ("out_gain", "-3 dB"),
];

fn voice(channels: usize) -> Vec<Vec<f32>> {
    (0..channels as u64)
        .map(|seed| phrases(RATE_HZ as f32, LENGTH, seed + 1, 0.3, 0.9))
        .collect()
}

fn set_all(plugin: &mut Plugin, settings: &[(&str, &str)]) {
    for (id, value) in settings {
        plugin.set(id, value).unwrap();
    }
}

fn play(plugin: &mut Plugin, job: &Render) -> Rendering {
    plugin.render(job, &mut |_| {}).unwrap()
}

fn same(one: &[Vec<f32>], other: &[Vec<f32>]) -> bool {
    let bits = |sound: &[Vec<f32>]| -> Vec<Vec<u32>> {
        let channel = |samples: &Vec<f32>| samples.iter().map(|sample| (sample + 0.0).to_bits()).collect();
        sound.iter().map(channel).collect()
    };
    bits(one) == bits(other)
}

/// The first sample at which any channel differs.
fn first_difference(one: &[Vec<f32>], other: &[Vec<f32>]) -> Option<usize> {
    one.iter()
        .zip(other)
        .filter_map(|(one, other)| one.iter().zip(other).position(|(one, other)| one != other))
        .min()
}

#[test]
fn the_bundle_says_what_it_holds() {
    let bundle = Bundle::load(&clap_bundle()).unwrap();
    let told: Vec<_> = bundle
        .descriptors()
        .into_iter()
        .map(|plugin| (plugin.id, plugin.name, plugin.version, plugin.features))
        .collect();
    let version = env!("CARGO_PKG_VERSION").to_owned();
    let words = |words: &[&str]| words.iter().map(|&word| word.to_owned()).collect::<Vec<_>>();
    assert_eq!(
        told,
        [
            (
                "audio.siskin.siskin".to_owned(),
                SISKIN.to_owned(),
                version.clone(),
                words(&["audio-effect", "de-esser", "mono", "stereo"])
            ),
            (
                "audio.siskin.follow".to_owned(),
                SISKIN_FOLLOW.to_owned(),
                version,
                words(&["audio-effect", "de-esser", "stereo"])
            ),
        ]
    );
}

#[test]
fn the_state_comes_back_whole() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        let mut saved = insert(name);
        let fresh = saved.save_state().unwrap();
        set_all(&mut saved, EVERYTHING);
        saved.set("look", "2 ms").unwrap();
        let state = saved.save_state().unwrap();
        assert_ne!(state, fresh, "{name}");

        let mut loaded = insert(name);
        loaded.load_state(&state).unwrap();
        assert_eq!(loaded.save_state().unwrap(), state, "{name}");
        for parameter in saved.parameters().to_vec() {
            let id = &parameter.id;
            assert_eq!(
                loaded.value(id).unwrap(),
                saved.value(id).unwrap(),
                "{name}: {id}"
            );
        }
        let voice = voice(2);
        let job = Render::new(RATE_HZ, &voice);
        assert!(
            same(&play(&mut saved, &job).audio, &play(&mut loaded, &job).audio),
            "{name}"
        );
    }
}

#[test]
fn the_latency_is_that_of_the_lookahead() {
    for name in [SISKIN, SISKIN_FOLLOW] {
        for (rate_hz, lookahead, samples) in [
            (48_000.0, "0 ms", 0),
            (48_000.0, "2 ms", 96),
            (48_000.0, "5 ms", 240),
            (44_100.0, "5 ms", 221),
            (192_000.0, "2 ms", 384),
        ] {
            let mut plugin = insert(name);
            set_all(&mut plugin, NOTHING_TO_DO);
            plugin.set("look", lookahead).unwrap();
            let voice = voice(2);
            let timing = Timing::AsProcessed;
            let rendering = play(
                &mut plugin,
                &Render {
                    timing,
                    ..Render::new(rate_hz, &voice)
                },
            );
            assert_eq!(rendering.latency_samples, samples, "{name} {rate_hz} {lookahead}");
            for (output, input) in rendering.audio.iter().zip(&voice) {
                assert!(output[..samples].iter().all(|&sample| sample == 0.0));
                assert_eq!(
                    output[samples..],
                    input[..LENGTH - samples],
                    "{name} {rate_hz} {lookahead}"
                );
            }
        }
    }
}

#[test]
fn a_lookahead_changed_on_the_way_restarts_and_loses_nothing() {
    let mut plugin = insert(SISKIN);
    set_all(&mut plugin, NOTHING_TO_DO);
    let voice = voice(2);
    let events = [
        plugin.event(20_000, "look", "0 ms").unwrap(),
        plugin.event(60_000, "look", "2 ms").unwrap(),
    ];
    let rendering = play(
        &mut plugin,
        &Render {
            events: &events,
            ..Render::new(RATE_HZ, &voice)
        },
    );
    assert_eq!(rendering.restarts, 2);
    assert_eq!(rendering.latency_samples, 96);
    assert!(same(&rendering.audio, &voice));
}

#[test]
fn with_nothing_to_do_the_output_is_the_input_bit_for_bit() {
    for (name, channels) in [(SISKIN, 1), (SISKIN, 2), (SISKIN_FOLLOW, 2)] {
        for lookahead in ["0 ms", "2 ms", "5 ms"] {
            let mut plugin = insert(name);
            plugin.select_channels(channels).unwrap();
            set_all(&mut plugin, NOTHING_TO_DO);
            plugin.set("look", lookahead).unwrap();
            let sound: Vec<Vec<f32>> = (0..channels as u64)
                .map(|seed| noise(seed + 7).take(LENGTH).collect())
                .collect();
            let rendering = play(&mut plugin, &Render::new(RATE_HZ, &sound));
            assert!(
                same(&rendering.audio, &sound),
                "{name}, {channels} channels, {lookahead}"
            );
        }
    }
}

#[test]
fn an_event_is_heard_at_its_sample_whatever_the_block_size() {
    const AT: usize = 20_001;
    let voice = voice(2);
    let render = |blocks: &[usize], id: &str, value: Option<&str>| {
        let mut plugin = insert(SISKIN);
        set_all(&mut plugin, EVERYTHING);
        plugin.set("look", "0 ms").unwrap();
        let events: Vec<Event> = value
            .into_iter()
            .map(|value| plugin.event(AT, id, value).unwrap())
            .collect();
        let job = Render {
            events: &events,
            blocks,
            timing: Timing::AsProcessed,
            ..Render::new(RATE_HZ, &voice)
        };
        play(&mut plugin, &job).audio
    };
    for (id, value) in [("out_gain", "6 dB"), ("lev_gain", "0 dB"), ("bypass", "on")] {
        let unchanged = render(&[512], id, None);
        let changed = render(&[512], id, Some(value));
        let heard = first_difference(&unchanged, &changed).unwrap();
        // A smoothed change starts from nothing: its first sample or two may round to no change.
        assert!(
            (AT..AT + 16).contains(&heard),
            "{id}: sent at {AT}, heard at {heard}"
        );
        for blocks in [&[1][..], &[37], &[4096], &[LENGTH]] {
            assert!(
                same(&render(blocks, id, Some(value)), &changed),
                "{id}, blocks of {blocks:?}"
            );
        }
    }
}

#[test]
fn modulation_is_heard_and_not_saved() {
    let voice = voice(2);
    let mut plugin = insert(SISKIN);
    set_all(&mut plugin, NOTHING_TO_DO);
    let state = plugin.save_state().unwrap();
    // A quarter of the travel of 48 dB.
    let event = Event {
        sample: LENGTH / 2,
        parameter: plugin.parameter("out_gain").unwrap().clap_id,
        change: Change::Modulation(0.25),
    };
    let rendering = play(
        &mut plugin,
        &Render {
            events: &[event],
            ..Render::new(RATE_HZ, &voice)
        },
    );
    for (output, input) in rendering.audio.iter().zip(&voice) {
        assert_eq!(output[..LENGTH / 4], input[..LENGTH / 4]);
        let settled = LENGTH * 3 / 4..;
        let gain_db = power_db(&output[settled.clone()]) - power_db(&input[settled]);
        assert!((gain_db - 12.0).abs() < 0.01, "{gain_db} dB");
    }
    assert_eq!(plugin.save_state().unwrap(), state);
}

#[test]
fn any_mixture_of_blocks_gives_the_same_output() {
    for (name, channels) in [(SISKIN, 1), (SISKIN, 2), (SISKIN_FOLLOW, 2)] {
        let voice = voice(channels);
        let reference = if name == SISKIN_FOLLOW {
            voice.clone()
        } else {
            Vec::new()
        };
        let render = |blocks: &[usize]| {
            let mut plugin = insert(name);
            plugin.select_channels(channels).unwrap();
            set_all(&mut plugin, EVERYTHING);
            let job = Render {
                reference: &reference,
                blocks,
                ..Render::new(RATE_HZ, &voice)
            };
            play(&mut plugin, &job).audio
        };
        let expected = render(&[512]);
        assert!(!same(&expected, &voice), "{name}: nothing was done");
        for blocks in [
            &[1][..],
            &[8192],
            &[1, 8192, 63, 64, 65, 2, 1000, 480],
            &[7, 4096, 1, 1, 333],
        ] {
            assert!(
                same(&render(blocks), &expected),
                "{name}, {channels} channels, blocks of {blocks:?}"
            );
        }
    }
}

#[test]
fn a_second_pass_and_an_offline_pass_repeat_the_first() {
    let voice = voice(2);
    let job = Render::new(RATE_HZ, &voice);
    let mut plugin = insert(SISKIN);
    set_all(&mut plugin, EVERYTHING);
    let first = play(&mut plugin, &job).audio;
    assert!(same(&play(&mut plugin, &job).audio, &first));
    plugin.set_mode(Mode::Offline).unwrap();
    assert!(same(&play(&mut plugin, &job).audio, &first));
}

#[test]
fn the_layouts_are_mono_and_stereo_and_the_side_chain_is_stereo() {
    let ports = |plugin: &mut Plugin| {
        let inputs = plugin
            .inputs()
            .unwrap()
            .into_iter()
            .map(|port| (port.name, port.channels, port.is_main));
        inputs.collect::<Vec<_>>()
    };
    let mut siskin = insert(SISKIN);
    let layouts: Vec<_> = siskin
        .layouts()
        .into_iter()
        .map(|layout| (layout.name, layout.channels))
        .collect();
    assert_eq!(layouts, [("Stereo".to_owned(), 2), ("Mono".to_owned(), 1)]);
    for channels in [1, 2] {
        siskin.select_channels(channels).unwrap();
        let told: Vec<_> = ports(&mut siskin)
            .into_iter()
            .map(|(_, channels, is_main)| (channels, is_main))
            .collect();
        assert_eq!(told, [(channels, true)]);
        assert_eq!(siskin.outputs().unwrap().len(), 1);
        assert_eq!(siskin.outputs().unwrap()[0].channels, channels);
    }
    let mut follow = insert(SISKIN_FOLLOW);
    let told = ports(&mut follow);
    assert_eq!(told.len(), 2);
    assert_eq!((told[0].1, told[0].2), (2, true));
    assert_eq!(told[1], ("Reference voice".to_owned(), 2, false));
    assert!(follow.select_channels(1).is_err());
}

#[test]
fn a_louder_reference_voice_leaves_more_of_the_sibilants() {
    let voice = voice(2);
    let reference = |gain: f32| -> Vec<Vec<f32>> {
        let lead = phrases(RATE_HZ as f32, LENGTH, 5, 1.0, 0.0);
        vec![lead.iter().map(|sample| gain * sample).collect(); 2]
    };
    let sibilant_power_db = |reference: &[Vec<f32>], source: &str| -> Vec<f64> {
        let mut plugin = insert(SISKIN_FOLLOW);
        set_all(
            &mut plugin,
            &[
                ("sib_prop", "-12 LU"),
                ("sib_ratio", "inf"),
                ("sib_range", "24 dB"),
                ("sib_reach", "100 %"),
                ("fol_src", source),
            ],
        );
        let audio = play(
            &mut plugin,
            &Render {
                reference,
                ..Render::new(RATE_HZ, &voice)
            },
        )
        .audio;
        // The sibilant of the last phrase, between its slopes.
        let sibilant = (1.82 * RATE_HZ) as usize..(1.94 * RATE_HZ) as usize;
        audio
            .iter()
            .map(|channel| power_db(&channel[sibilant.clone()]))
            .collect()
    };
    let (loud, quiet) = (reference(0.5), reference(0.25));
    let followed = [&loud, &quiet].map(|reference| sibilant_power_db(reference, "Reference voice"));
    let own = [&loud, &quiet].map(|reference| sibilant_power_db(reference, "This track"));
    for channel in 0..2 {
        let moved_db = followed[0][channel] - followed[1][channel];
        assert!(
            (moved_db - 6.0).abs() < 1.0,
            "6 dB more of reference moved a sibilant by {moved_db} dB"
        );
        assert_eq!(
            own[0][channel], own[1][channel],
            "this track's own voice does not hear the reference"
        );
    }
}

#[test]
fn without_a_reference_siskin_follow_is_siskin() {
    let voice = voice(2);
    let render = |name: &str| {
        let mut plugin = insert(name);
        set_all(&mut plugin, EVERYTHING);
        play(&mut plugin, &Render::new(RATE_HZ, &voice)).audio
    };
    assert!(same(&render(SISKIN_FOLLOW), &render(SISKIN)));
}
