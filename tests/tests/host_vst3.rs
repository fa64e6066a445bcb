//! The VST3 bundle in other makers' hosts (pedalboard, DawDreamer), beside the CLAP bundle: one engine, one sound.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::json;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, presets_folder, python, vst3_bundle};
use siskin_tests::hosts::clap::{Change, Event, Plugin, Render, Timing};
use siskin_tests::measurement::levels::residual_db;
use siskin_tests::measurement::voices::signals::phrases;

const RATE_HZ: f64 = 48_000.0;
const LENGTH: usize = 96_000;
const BLOCK: usize = 480;
/// The two formats must agree to this, relative to the programme: about one bit of 20.
const RESIDUAL_DB: f32 = -120.0;

const AUTOMATE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/python/vst3_automate.py");
const SCRIPT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/python/vst3_render.py");

const SETTINGS: &[&[(&str, &str)]] = &[
    &[],
    &[
        ("sib_prop", "-12 LU"),
        ("sib_reach", "70 %"),
        ("look", "2 ms"),
        ("out_gain", "-3 dB"),
    ],
    &[
        ("lev_on", "on"),
        ("lev_gain", "10 dB"),
        ("lev_auto", "on"),
        ("br_on", "on"),
        ("br_cut", "200 Hz"),
        ("sib_ratio", "inf"),
    ],
];

/// Every parameter by name, on the scale of 0 to 1 that VST3 has.
fn normalised_values(plugin: &mut Plugin) -> serde_json::Value {
    plugin
        .parameters()
        .to_vec()
        .into_iter()
        .map(|parameter| {
            let value = plugin.value(&parameter.id).unwrap();
            (parameter.name, json!(value / parameter.highest))
        })
        .collect()
}

fn floats_to_bytes(sound: &[Vec<f32>]) -> Vec<u8> {
    sound
        .iter()
        .flatten()
        .flat_map(|sample| sample.to_le_bytes())
        .collect()
}

fn bytes_to_floats(bytes: &[u8], channels: usize) -> Vec<Vec<f32>> {
    let samples: Vec<f32> = bytes
        .as_chunks::<4>()
        .0
        .iter()
        .map(|bytes| f32::from_le_bytes(*bytes))
        .collect();
    samples
        .chunks(samples.len() / channels)
        .map(<[f32]>::to_vec)
        .collect()
}

/// Plays `sound` with the settings that `start` holds: "values", "preset", or both.
fn play_vst3(name: &str, start: serde_json::Value, sound: &[Vec<f32>], folder: &Path) -> Vec<Vec<f32>> {
    let [job, input, output] = ["job.json", "in.f32", "out.f32"].map(|file| folder.join(file));
    let told = json!({
        "sample_rate_hz": RATE_HZ, "channels": sound.len(), "block": BLOCK,
        "values": start.get("values").unwrap_or(&json!({})), "preset": start.get("preset"),
    });
    fs::write(&job, told.to_string()).unwrap();
    fs::write(&input, floats_to_bytes(sound)).unwrap();
    let run = Command::new(python())
        .arg(SCRIPT)
        .arg(vst3_bundle())
        .arg(name)
        .args([&job, &input, &output])
        .output()
        .unwrap();
    assert!(
        run.status.success(),
        "{name}: {}",
        String::from_utf8_lossy(&run.stderr)
    );
    bytes_to_floats(&fs::read(&output).unwrap(), sound.len())
}

#[test]
fn vst3_and_clap_give_the_same_sound() {
    let folder = tempfile::tempdir().unwrap();
    for (name, channels) in [(SISKIN, 1), (SISKIN, 2), (SISKIN_FOLLOW, 2)] {
        let voice: Vec<Vec<f32>> = (1..=channels as u64)
            .map(|seed| phrases(RATE_HZ as f32, LENGTH, seed, 0.3, 0.9))
            .collect();
        for settings in SETTINGS {
            let mut plugin = insert(name);
            plugin.select_channels(channels).unwrap();
            for (id, value) in *settings {
                plugin.set(id, value).unwrap();
            }
            let job = Render {
                blocks: &[BLOCK],
                ..Render::new(RATE_HZ, &voice)
            };
            let clap = plugin.render(&job, &mut |_| {}).unwrap().audio;
            let values = json!({ "values": normalised_values(&mut plugin) });
            let vst3 = play_vst3(name, values, &voice, folder.path());
            assert_eq!(vst3.len(), channels);
            for (channel, (vst3, clap)) in vst3.iter().zip(&clap).enumerate() {
                assert_eq!(vst3.len(), clap.len());
                assert!(
                    residual_db(&voice[channel], clap) > -60.0,
                    "{name} {settings:?}: nothing was done"
                );
                assert!(
                    clap.iter().any(|sample| *sample != 0.0),
                    "{name} {settings:?}: silence"
                );
                let residual_db = residual_db(clap, vst3);
                assert!(
                    residual_db <= RESIDUAL_DB,
                    "{name} {settings:?}, channel {channel}: {residual_db} dB"
                );
            }
        }
    }
}

/// Steps of a parameter: its id, its name, and samples with values from 0 to 1.
type Steps = (&'static str, &'static str, [(usize, f64); 4]);

/// On the host's grid of blocks.
const AUTOMATION: [Steps; 2] = [
    (
        "out_gain",
        "Output gain",
        [(0, 0.5), (19_200, 0.75), (48_000, 0.3), (76_800, 0.5)],
    ),
    (
        "sib_prop",
        "Proportion",
        [(0, 0.5), (24_000, 0.2), (52_800, 0.7), (72_000, 0.35)],
    ),
];

#[test]
fn automation_in_dawdreamer_sounds_as_the_same_events_in_clap() {
    let folder = tempfile::tempdir().unwrap();
    let voice: Vec<Vec<f32>> = (1..=2)
        .map(|seed| phrases(RATE_HZ as f32, LENGTH, seed, 0.3, 0.9))
        .collect();
    let automation: serde_json::Map<_, _> = AUTOMATION
        .iter()
        .map(|(_, name, steps)| ((*name).to_owned(), json!(steps)))
        .collect();
    let job = json!({ "sample_rate_hz": RATE_HZ, "channels": 2, "block": BLOCK, "automation": automation });
    let [job_file, input, output] = ["job.json", "in.f32", "out.f32"].map(|file| folder.path().join(file));
    fs::write(&job_file, job.to_string()).unwrap();
    fs::write(&input, floats_to_bytes(&voice)).unwrap();
    let run = Command::new(python())
        .arg(AUTOMATE)
        .arg(vst3_bundle())
        .args([&job_file, &input, &output])
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let told: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
    assert_eq!(told, json!({ "latency_samples": 240, "state_comes_back": true }));

    let mut plugin = insert(SISKIN);
    let mut events = Vec::new();
    for (id, _, steps) in AUTOMATION {
        let parameter = plugin.parameter(id).unwrap().clap_id;
        events.extend(steps.map(|(sample, value)| Event {
            sample,
            parameter,
            change: Change::Value(value),
        }));
    }
    events.sort_by_key(|event| event.sample);
    let render = |plugin: &mut Plugin, events: &[Event]| {
        let job = Render {
            blocks: &[BLOCK],
            events,
            timing: Timing::AsProcessed,
            ..Render::new(RATE_HZ, &voice)
        };
        plugin.render(&job, &mut |_| {}).unwrap().audio
    };
    let still = render(&mut insert(SISKIN), &[]);
    let clap = render(&mut plugin, &events);
    let vst3 = bytes_to_floats(&fs::read(&output).unwrap(), 2);
    for channel in 0..2 {
        assert!(
            residual_db(&clap[channel], &still[channel]) > -40.0,
            "nothing moved"
        );
        let residual_db = residual_db(&clap[channel], &vst3[channel]);
        assert!(residual_db <= RESIDUAL_DB, "channel {channel}: {residual_db} dB");
    }
}

#[test]
fn a_preset_file_sounds_as_the_preset_in_clap() {
    let folder = tempfile::tempdir().unwrap();
    let voice: Vec<Vec<f32>> = (1..=2)
        .map(|seed| phrases(RATE_HZ as f32, LENGTH, seed, 0.3, 0.9))
        .collect();
    let mut plugin = insert(SISKIN_FOLLOW);
    plugin.load_preset("backing-stack").unwrap();
    let job = Render {
        blocks: &[BLOCK],
        ..Render::new(RATE_HZ, &voice)
    };
    let clap = plugin.render(&job, &mut |_| {}).unwrap().audio;
    let preset = json!({ "preset": presets_folder().join("Siskin Follow/Backing stack.vstpreset") });
    let vst3 = play_vst3(SISKIN_FOLLOW, preset, &voice, folder.path());
    let defaults = play_vst3(SISKIN_FOLLOW, json!({}), &voice, folder.path());
    for channel in 0..2 {
        assert!(residual_db(&clap[channel], &vst3[channel]) <= RESIDUAL_DB);
        assert!(residual_db(&defaults[channel], &vst3[channel]) > -60.0);
    }
}
