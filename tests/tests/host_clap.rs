//! The CLAP bundle in a host: what it says of itself, and how sound and settings pass through it.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::ParamEvent;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, strict_bundle};
use siskin_tests::hosts::clap::{Mode, Plugin, Render, Rendering, Timing};
use siskin_tests::hosts::fixtures::{ALL_STAGES, LAYOUTS, NO_STAGE, RATE_HZ, automation, insert_with, voice};
use siskin_tests::measurement::levels::near;
use siskin_tests::measurement::voices::signals::{phrases, power_db};

/// Two seconds: four phrases.
const LENGTH: usize = 96_000;

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
    let channels = one.iter().zip(other);
    let first =
        channels.filter_map(|(one, other)| one.iter().zip(other).position(|(one, other)| one != other));
    first.min()
}

#[test]
fn bundle_lists_both_plug_ins() {
    let descriptors = strict_bundle().descriptors();
    assert_eq!(descriptors.len(), 2);
    for (plugin, [id, name, features]) in descriptors.iter().zip([
        ["audio.siskin.siskin", SISKIN, "audio-effect de-esser mono stereo"],
        [
            "audio.siskin.follow",
            SISKIN_FOLLOW,
            "audio-effect de-esser stereo",
        ],
    ]) {
        assert_eq!([&plugin.id, &plugin.name], [id, name]);
        assert_eq!(plugin.version, env!("CARGO_PKG_VERSION"));
        assert_eq!(plugin.features.join(" "), features);
    }
}

#[test]
fn lookahead_changed_on_the_way_restarts_and_loses_nothing() {
    let mut plugin = insert_with(SISKIN, 2, NO_STAGE);
    let voice = voice(1, 2, RATE_HZ, LENGTH);
    let events = [(20_000, "0 ms"), (40_000, "300 ms"), (60_000, "2 ms")];
    let events = events.map(|(sample, value)| plugin.event(sample, "look", value).unwrap());
    let job = Render {
        events: &events,
        ..Render::new(RATE_HZ, &voice)
    };
    let rendering = play(&mut plugin, &job);
    assert_eq!((rendering.restarts, rendering.latency_samples), (3, 96));
    assert!(same(&rendering.audio, &voice));
}

#[test]
fn channels_apart_begin_with_a_restart() {
    let sides = [1, 8].map(|seed| voice(seed, 1, RATE_HZ, LENGTH).remove(0));
    let render = |settings: &[(&str, &str)], changed: Option<usize>| {
        let mut plugin = insert_with(SISKIN, 2, settings);
        let events = changed.map(|sample| plugin.event(sample, "chan", "Apart").unwrap());
        let events = Vec::from_iter(events);
        let job = Render {
            events: &events,
            ..Render::new(RATE_HZ, &sides)
        };
        play(&mut plugin, &job)
    };
    let [linked, apart] = [&[][..], &[("chan", "Apart")]].map(|settings| render(settings, None));
    assert!(!same(&linked.audio, &apart.audio));
    let changed = render(&[], Some(20_000));
    assert_eq!((linked.restarts, apart.restarts, changed.restarts), (0, 0, 1));
    assert_eq!(changed.latency_samples, linked.latency_samples);
}

#[test]
fn one_channel_cannot_be_apart_and_needs_no_restart() {
    let mut plugin = insert_with(SISKIN, 1, &[]);
    let events = [plugin.event(20_000, "chan", "Apart").unwrap()];
    let sound = voice(1, 1, RATE_HZ, LENGTH);
    let job = Render {
        events: &events,
        ..Render::new(RATE_HZ, &sound)
    };
    assert_eq!(play(&mut plugin, &job).restarts, 0);
}

#[test]
fn events_act_at_their_sample_in_blocks_of_any_size() {
    const AT: usize = 20_001;
    let voice = voice(1, 2, RATE_HZ, LENGTH);
    let render = |blocks: &[usize], id: &str, value: Option<&str>| {
        let mut plugin = insert_with(SISKIN, 2, &[ALL_STAGES, &[("look", "0 ms")]].concat());
        let events: Vec<ParamEvent> = value
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
        let first = first_difference(&unchanged, &changed).unwrap();
        // A smoothed change starts from nothing: its first sample or two may round to no change.
        assert!(
            (AT..AT + 16).contains(&first),
            "{id}: sent at {AT}, heard at {first}"
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
    let voice = voice(1, 2, RATE_HZ, LENGTH);
    let mut plugin = insert_with(SISKIN, 2, NO_STAGE);
    let state = plugin.save_state().unwrap();
    // A quarter of the range of 48 dB.
    let gain = plugin.parameter("out_gain").unwrap().clap_id;
    let job = Render {
        events: &[ParamEvent::modulation(LENGTH as u32 / 2, gain, 0.25)],
        ..Render::new(RATE_HZ, &voice)
    };
    let rendering = play(&mut plugin, &job);
    for (output, input) in rendering.audio.iter().zip(&voice) {
        assert_eq!(output[..LENGTH / 4], input[..LENGTH / 4]);
        let settled = LENGTH * 3 / 4..;
        let gain_db = power_db(&output[settled.clone()]) - power_db(&input[settled]);
        assert!((gain_db - 12.0).abs() < 0.01, "{gain_db} dB");
    }
    assert_eq!(plugin.save_state().unwrap(), state);
}

#[test]
fn any_mixture_of_blocks_sounds_the_same_automated_or_not() {
    /// Changes of each parameter.
    const CHANGES: usize = 40;
    for (name, channels) in LAYOUTS {
        let voice = voice(1, channels, RATE_HZ, LENGTH);
        let reference = if name == SISKIN_FOLLOW { &voice[..] } else { &[] };
        let render = |blocks: &[usize], settings: &[(&str, &str)], changes: usize| {
            let mut plugin = insert_with(name, channels, settings);
            let events = automation(&plugin, changes, LENGTH);
            assert_eq!(changes > 0, events.len() > 20 * CHANGES);
            let job = Render {
                reference,
                blocks,
                events: &events,
                ..Render::new(RATE_HZ, &voice)
            };
            let rendering = play(&mut plugin, &job);
            assert_eq!(rendering.restarts, 0, "{name}");
            rendering.audio
        };
        let still = render(&[512], &[], 0);
        for (settings, changes, unmoved) in [(ALL_STAGES, 0, &voice), (&[], CHANGES, &still)] {
            let expected = render(&[512], settings, changes);
            assert!(expected.iter().flatten().all(|sample| sample.is_finite()));
            let moved = |(one, other): (&Vec<f32>, &Vec<f32>)| one != other;
            assert!(
                expected.iter().zip(unmoved).all(moved),
                "{name}: nothing was done"
            );
            for blocks in [
                &[1][..],
                &[8192],
                &[LENGTH],
                &[1, 8192, 63, 64, 65, 2, 1000, 480],
                &[7, 4096, 1, 1, 333],
            ] {
                let case = format!("{name}, {channels} channels, {changes} changes, blocks of {blocks:?}");
                assert!(same(&render(blocks, settings, changes), &expected), "{case}");
            }
        }
    }
}

#[test]
fn second_and_offline_passes_repeat_the_first() {
    let voice = voice(1, 2, RATE_HZ, LENGTH);
    let job = Render::new(RATE_HZ, &voice);
    let mut plugin = insert_with(SISKIN, 2, ALL_STAGES);
    let first = play(&mut plugin, &job).audio;
    assert!(same(&play(&mut plugin, &job).audio, &first));
    plugin.set_mode(Mode::Offline).unwrap();
    assert!(same(&play(&mut plugin, &job).audio, &first));
}

#[test]
fn layouts_are_mono_and_stereo_and_the_side_chain_is_stereo() {
    let mut siskin = insert(SISKIN);
    let layouts: Vec<_> = siskin
        .layouts()
        .into_iter()
        .map(|layout| (layout.name, layout.channels))
        .collect();
    assert_eq!(layouts, [("Stereo".to_owned(), 2), ("Mono".to_owned(), 1)]);
    for channels in [1, 2] {
        siskin.select_channels(channels).unwrap();
        let [inputs, outputs] = [siskin.inputs(), siskin.outputs()].map(Result::unwrap);
        assert_eq!([inputs.len(), outputs.len()], [1, 1]);
        assert_eq!((inputs[0].channels, inputs[0].is_main), (channels, true));
        assert_eq!(outputs[0].channels, channels);
    }
    let mut follow = insert(SISKIN_FOLLOW);
    let inputs = follow.inputs().unwrap();
    assert_eq!(inputs.len(), 2);
    assert_eq!((inputs[0].channels, inputs[0].is_main), (2, true));
    assert_eq!((inputs[1].channels, inputs[1].is_main), (2, false));
    assert_eq!(inputs[1].name, "Reference voice");
    assert!(follow.select_channels(1).is_err());
}

#[test]
fn louder_reference_voice_leaves_more_of_the_sibilants() {
    let voice = voice(1, 2, RATE_HZ, LENGTH);
    let reference = |gain: f32| -> Vec<Vec<f32>> {
        let lead = phrases(RATE_HZ as f32, LENGTH, 5, 1.0, 0.0);
        vec![lead.iter().map(|sample| gain * sample).collect(); 2]
    };
    let sibilant_power_db = |reference: &[Vec<f32>], source: &str| -> Vec<f64> {
        let settings = [
            ("sib_prop", "-12 LU"),
            ("sib_ratio", "inf"),
            ("sib_range", "24 dB"),
            ("sib_reach", "100 %"),
            ("fol_src", source),
        ];
        let job = Render {
            reference,
            ..Render::new(RATE_HZ, &voice)
        };
        let audio = play(&mut insert_with(SISKIN_FOLLOW, 2, &settings), &job).audio;
        // The sibilant of the last phrase, between its slopes.
        let sibilant = (1.82 * RATE_HZ) as usize..(1.94 * RATE_HZ) as usize;
        let channels = audio.iter();
        channels
            .map(|channel| power_db(&channel[sibilant.clone()]))
            .collect()
    };
    let (loud, quiet) = (reference(0.5), reference(0.25));
    let followed = [&loud, &quiet].map(|reference| sibilant_power_db(reference, "Reference voice"));
    let own = [&loud, &quiet].map(|reference| sibilant_power_db(reference, "This track"));
    for channel in 0..2 {
        let moved_db = followed[0][channel] - followed[1][channel];
        near(
            moved_db,
            6.0,
            1.0,
            "dB by which 6 dB more of reference moved a sibilant",
        );
        assert_eq!(
            own[0][channel], own[1][channel],
            "this track's own voice follows the reference"
        );
    }
}
