//! The VST3 bundle in other makers' hosts (pedalboard, DawDreamer), beside the CLAP bundle: one engine, one sound.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::json;
use siskin_tests::hosts::ParamEvent;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW, insert, presets_folder, python, vst3_bundle};
use siskin_tests::hosts::clap::{Plugin, Render, Timing};
use siskin_tests::hosts::fixtures::{LAYOUTS, RATE_HZ, insert_with, output_of, voice};
use siskin_tests::measurement::levels::residual_db;

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

/// Runs `script` with `arguments`, a job and `sound`: what it printed, and the sound that it wrote.
fn run_python(
    script: &str,
    arguments: &[&str],
    job: &serde_json::Value,
    sound: &[Vec<f32>],
) -> (String, Vec<Vec<f32>>) {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let [job_file, input, output] = ["job.json", "in.f32", "out.f32"].map(|file| folder.path().join(file));
    fs::write(&job_file, job.to_string()).unwrap();
    let samples = sound.iter().flatten();
    let bytes: Vec<u8> = samples.flat_map(|sample| sample.to_le_bytes()).collect();
    fs::write(&input, bytes).unwrap();
    let mut run = Command::new(python());
    run.arg(script).arg(vst3_bundle()).args(arguments);
    let [printed, _] = output_of(run.args([&job_file, &input, &output]));
    (printed, bytes_to_floats(&fs::read(&output).unwrap(), sound.len()))
}

/// Plays `sound` with values, or a preset file.
fn play_vst3(
    name: &str,
    values: &serde_json::Value,
    preset: Option<&Path>,
    sound: &[Vec<f32>],
) -> Vec<Vec<f32>> {
    let job = json!({
        "sample_rate_hz": RATE_HZ, "channels": sound.len(), "block": BLOCK, "values": values, "preset": preset,
    });
    run_python(SCRIPT, &[name], &job, sound).1
}

fn play_clap(
    plugin: &mut Plugin,
    events: &[ParamEvent],
    timing: Timing,
    sound: &[Vec<f32>],
) -> Vec<Vec<f32>> {
    let job = Render {
        blocks: &[BLOCK],
        events,
        timing,
        ..Render::new(RATE_HZ, sound)
    };
    plugin.render(&job, &mut |_| {}).unwrap().audio
}

#[test]
fn vst3_and_clap_give_the_same_sound() {
    for (name, channels) in LAYOUTS {
        let voice = voice(1, channels, RATE_HZ, LENGTH);
        for settings in SETTINGS {
            let mut plugin = insert_with(name, channels, settings);
            let clap = play_clap(&mut plugin, &[], Timing::Compensated, &voice);
            let vst3 = play_vst3(name, &normalised_values(&mut plugin), None, &voice);
            assert_eq!(vst3.len(), channels);
            for (channel, (vst3, clap)) in vst3.iter().zip(&clap).enumerate() {
                let case = format!("{name} {settings:?}, channel {channel}");
                assert_eq!(vst3.len(), clap.len());
                assert!(
                    residual_db(&voice[channel], clap) > -60.0,
                    "{case}: nothing was done"
                );
                assert!(clap.iter().any(|sample| *sample != 0.0), "{case}: silence");
                let residual_db = residual_db(clap, vst3);
                assert!(residual_db <= RESIDUAL_DB, "{case}: {residual_db} dB");
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
    let voice = voice(1, 2, RATE_HZ, LENGTH);
    let automation: serde_json::Map<_, _> = AUTOMATION
        .iter()
        .map(|(_, name, steps)| ((*name).to_owned(), json!(steps)))
        .collect();
    let job = json!({ "sample_rate_hz": RATE_HZ, "channels": 2, "block": BLOCK, "automation": automation });
    let (printed, vst3) = run_python(AUTOMATE, &[], &job, &voice);
    let printed: serde_json::Value = serde_json::from_str(&printed).unwrap();
    assert_eq!(
        printed,
        json!({ "latency_samples": 240, "state_comes_back": true })
    );

    let mut plugin = insert(SISKIN);
    let mut events = Vec::new();
    for (id, _, steps) in AUTOMATION {
        let parameter = plugin.parameter(id).unwrap().clap_id;
        events.extend(steps.map(|(sample, value)| ParamEvent::value(sample as u32, parameter, value)));
    }
    events.sort_by_key(|event| event.sample);
    let still = play_clap(&mut insert(SISKIN), &[], Timing::AsProcessed, &voice);
    let clap = play_clap(&mut plugin, &events, Timing::AsProcessed, &voice);
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
fn preset_file_sounds_as_the_preset_in_clap() {
    let voice = voice(1, 2, RATE_HZ, LENGTH);
    let mut plugin = insert(SISKIN_FOLLOW);
    plugin.load_preset("backing-stack").unwrap();
    let clap = play_clap(&mut plugin, &[], Timing::Compensated, &voice);
    let preset = presets_folder().join("Siskin Follow/Backing stack.vstpreset");
    let vst3 = play_vst3(SISKIN_FOLLOW, &json!({}), Some(&preset), &voice);
    let defaults = play_vst3(SISKIN_FOLLOW, &json!({}), None, &voice);
    for channel in 0..2 {
        assert!(residual_db(&clap[channel], &vst3[channel]) <= RESIDUAL_DB);
        assert!(residual_db(&defaults[channel], &vst3[channel]) > -60.0);
    }
}
