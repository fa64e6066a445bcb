//! Automation through the CLAP bundle: every parameter at once, at samples that care for no block.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert};
use siskin_tests::hosts::clap::{Change, Event, Plugin, Render};
use siskin_tests::measurement::voices::signals::{noise, phrases};

const RATE_HZ: f64 = 48_000.0;
const LENGTH: usize = 96_000;
/// Changes of each parameter.
const CHANGES: usize = 40;

/// Values of every parameter that can be automated, anywhere in its range and in time, many of them within one block and
/// some at one sample.
fn events(plugin: &Plugin, seed: u64) -> Vec<Event> {
    let mut shares = noise(seed).map(|sample| f64::from(0.5 + 0.5 * sample));
    let mut share = || shares.next().unwrap();
    let mut events = Vec::new();
    for parameter in plugin
        .parameters()
        .iter()
        .filter(|parameter| parameter.is_automatable())
    {
        for _ in 0..CHANGES {
            let value = parameter.lowest + share() * (parameter.highest - parameter.lowest);
            events.push(Event {
                sample: (share() * LENGTH as f64) as usize,
                parameter: parameter.clap_id,
                change: Change::Value(value),
            });
        }
        // All at one sample, in the middle of a control step.
        events.push(Event {
            sample: LENGTH / 2 + 7,
            parameter: parameter.clap_id,
            change: Change::Value(parameter.highest),
        });
    }
    events.sort_by_key(|event| event.sample);
    events
}

#[test]
fn automation_of_everything_gives_the_same_output_in_any_mixture_of_blocks() {
    for (name, channels) in [(SISKIN, 1), (SISKIN, 2), (SISKIN_FOLLOW, 2)] {
        let voice: Vec<Vec<f32>> = (0..channels as u64)
            .map(|seed| phrases(RATE_HZ as f32, LENGTH, seed + 1, 0.3, 0.9))
            .collect();
        let reference = if name == SISKIN_FOLLOW {
            voice.clone()
        } else {
            Vec::new()
        };
        let render = |blocks: &[usize], automated: bool| {
            let mut plugin = insert(name);
            plugin.select_channels(channels).unwrap();
            let events = if automated { events(&plugin, 3) } else { Vec::new() };
            assert_eq!(automated, events.len() > 20 * CHANGES);
            let job = Render {
                reference: &reference,
                blocks,
                events: &events,
                ..Render::new(RATE_HZ, &voice)
            };
            let rendering = plugin.render(&job, &mut |_| {}).unwrap();
            assert_eq!(rendering.restarts, 0, "{name}");
            rendering.audio
        };
        let expected = render(&[512], true);
        assert!(expected.iter().flatten().all(|sample| sample.is_finite()));
        let still = render(&[512], false);
        for (expected, still) in expected.iter().zip(&still) {
            assert!(expected != still, "{name}: nothing moved");
        }
        for blocks in [
            &[1][..],
            &[8192],
            &[LENGTH],
            &[1, 8192, 63, 64, 65, 2, 1000, 480],
            &[7, 4096, 1, 1, 333],
        ] {
            assert!(
                render(blocks, true) == expected,
                "{name}, {channels} channels, blocks of {blocks:?}"
            );
        }
    }
}
