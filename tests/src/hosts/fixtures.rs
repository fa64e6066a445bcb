//! What the tests of hosts share: inserts of the built bundles, settings, and sound.

use std::fs;
use std::path::Path;
use std::process::Command;

use super::built::{SISKIN, SISKIN_FOLLOW, insert, vst3_bundle};
use super::clap::Plugin;
use super::vst3::{Module, Vst3Insert};
use super::{Bus, HostBlock, Insert, ParamEvent, ProcessStatus, joined};
use crate::measurement::voices::signals::{noise, phrases};

/// The rate of most tests, in Hz.
pub const RATE_HZ: f64 = 48_000.0;
/// Plug-ins and channels of every layout.
pub const LAYOUTS: [(&str, usize); 3] = [(SISKIN, 1), (SISKIN, 2), (SISKIN_FOLLOW, 2)];
/// Settings under which every stage works.
pub const ALL_STAGES: &[(&str, &str)] = &[
    ("lev_on", "on"),
    ("lev_gain", "10 dB"),
    ("lev_auto", "on"),
    ("sib_prop", "-12 LU"),
    ("sib_reach", "50 %"),
    ("br_on", "on"),
    ("br_cut", "200 Hz"),
    ("out_gain", "-3 dB"),
];
/// Settings under which there is nothing to do.
pub const NO_STAGE: &[(&str, &str)] = &[("lev_on", "off"), ("sib_on", "off"), ("br_on", "off")];

/// A new insert out of the CLAP bundle, with a layout and settings. Panics where it refuses them.
pub fn insert_with(name: &str, channels: usize, settings: &[(&str, &str)]) -> Plugin {
    let mut plugin = insert(name);
    let set = plugin
        .select_channels(channels)
        .and_then(|()| plugin.set_all(settings));
    set.expect("a layout and settings");
    plugin
}

/// A new insert out of the VST3 bundle. Panics where there is none.
pub fn vst3_insert(name: &str) -> Vst3Insert {
    Module::load(&vst3_bundle()).insert(name)
}

/// A new insert in each format.
pub fn both(name: &str) -> [Insert; 2] {
    [Insert::Clap(insert(name)), Insert::Vst3(vst3_insert(name))]
}

/// A new insert of each plug-in in each format, with the plug-in's name.
pub fn every_insert() -> impl Iterator<Item = (&'static str, Insert)> {
    let plug_ins = [SISKIN, SISKIN_FOLLOW].into_iter();
    plug_ins.flat_map(|name| both(name).map(|insert| (name, insert)))
}

/// An insert in each format with the same settings and layout. Panics where one refuses them.
pub fn both_with(name: &str, channels: usize, settings: &[(&str, &str)]) -> [Insert; 2] {
    let mut clap = Insert::Clap(insert_with(name, channels, settings));
    let mut vst3 = Insert::Vst3(vst3_insert(name));
    let state = clap.save_json().expect("a state");
    assert!(vst3.load_json(&state) && vst3.arrange(channels).is_ok());
    [clap, vst3]
}

/// A voice of phrases, another one on each channel: `seed` and those that follow it.
pub fn voice(seed: u64, channels: usize, sample_rate_hz: f64, length: usize) -> Vec<Vec<f32>> {
    (seed..seed + channels as u64)
        .map(|seed| phrases(sample_rate_hz as f32, length, seed, 0.3, 0.9))
        .collect()
}

/// `blocks` with `lead`, cut as they are, on the side-chain, where `name` has one.
pub fn with_lead(name: &str, mut blocks: Vec<HostBlock>, lead: &[Vec<f32>]) -> Vec<HostBlock> {
    let mut start = 0;
    for block in blocks.iter_mut().filter(|_| name == SISKIN_FOLLOW) {
        let piece = |channel: &Vec<f32>| channel[start..start + block.samples].to_vec();
        block
            .inputs
            .push(Bus::new(&lead.iter().map(piece).collect::<Vec<_>>()));
        start += block.samples;
    }
    blocks
}

/// A stereo block of `sound` for `name`, the same sound on its side-chain where it has one.
pub fn block(name: &str, sound: &[Vec<f32>], events: Vec<ParamEvent>) -> HostBlock {
    let block = HostBlock {
        events,
        ..HostBlock::new(sound)
    };
    with_lead(name, vec![block], sound).remove(0)
}

/// Two channels of silence.
pub fn silence(samples: usize) -> Vec<Vec<f32>> {
    vec![vec![0.0; samples]; 2]
}

/// Values of every parameter that can be automated, anywhere in its range and in the first `length` samples, many of them
/// within one block and some at one sample: `changes` of each.
pub fn automation(plugin: &Plugin, changes: usize, length: usize) -> Vec<ParamEvent> {
    let mut shares = noise(3).map(|sample| f64::from(0.5 + 0.5 * sample));
    let mut share = || shares.next().unwrap_or_default();
    let mut events = Vec::new();
    let parameters = plugin.parameters().iter();
    for parameter in parameters.filter(|parameter| changes > 0 && parameter.is_automatable()) {
        for _ in 0..changes {
            let value = parameter.at(share());
            let sample = (share() * length as f64) as u32;
            events.push(ParamEvent::value(sample, parameter.clap_id, value));
        }
        // All at one sample, in the middle of a control step.
        let sample = length as u32 / 2 + 7;
        events.push(ParamEvent::value(sample, parameter.clap_id, parameter.highest));
    }
    events.sort_by_key(|event| event.sample);
    events
}

/// What comes out of an active insert. Panics where it does not process a block.
pub fn play(insert: &mut Insert, blocks: &mut [HostBlock]) -> Vec<Vec<f32>> {
    let statuses = insert.process_all(blocks).expect("an active insert");
    assert!(!statuses.contains(&ProcessStatus::Refused), "a block was refused");
    joined(blocks)
}

/// What comes out of a new insert with every stage on, in CLAP. Panics where it does not process a block.
pub fn play_new(layout: (&str, usize), sample_rate_hz: f64, mut blocks: Vec<HostBlock>) -> Vec<Vec<f32>> {
    let mut insert = Insert::Clap(insert_with(layout.0, layout.1, ALL_STAGES));
    insert.activate(sample_rate_hz, 8192).expect("an inactive insert");
    play(&mut insert, &mut blocks)
}

/// What a command prints on its output and on its error output. Panics with both where it fails.
#[track_caller]
pub fn output_of(command: &mut Command) -> [String; 2] {
    let ran = command
        .output()
        .unwrap_or_else(|error| panic!("{command:?}: {error}"));
    let printed = [ran.stdout, ran.stderr].map(|text| String::from_utf8_lossy(&text).into_owned());
    assert!(
        ran.status.success(),
        "{command:?}: {}\n{}",
        ran.status,
        printed.concat()
    );
    printed
}

/// The names of what lies in a folder, sorted.
///
/// # Panics
///
/// Where the folder cannot be read.
pub fn names_in(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder that can be read");
    let mut names: Vec<String> = entries
        .map(|entry| entry.expect("an entry").file_name())
        .map(|name| name.into_string().expect("a name in UTF-8"))
        .collect();
    names.sort();
    names
}
