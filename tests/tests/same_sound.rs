//! One sound in both formats, and on every system that can be tried: `cargo xtask package --check` keeps what the bundle of
//! this machine plays, and compares what other systems make of the same input.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::fs;
use std::path::{Path, PathBuf};

use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW};
use siskin_tests::hosts::fixtures::{ALL_STAGES, RATE_HZ, both_with, play, with_lead};
use siskin_tests::hosts::{HostBlock, Insert, ParamEvent, blocks};
use siskin_tests::measurement::levels::residual_db;
use siskin_tests::measurement::null::{Input, Voice};
use siskin_tests::measurement::voices::audio_file::{self, Audio};

/// The folder that sounds and states are kept in, and the folder of those to compare with.
const KEEP_IN: &str = "SISKIN_KEEP_SOUNDS_IN";
const COMPARE_WITH: &str = "SISKIN_COMPARE_SOUNDS_WITH";
/// The goal: what is left of the difference, dB re the sound.
const RESIDUAL_DB: f32 = -120.0;
/// What the insert itself must do at least for a comparison to say anything, dB re the sound.
const OWN_WORK_DB: f32 = -40.0;
/// Blocks of an odd length, so that automation falls within them.
const BLOCKS: [usize; 3] = [512, 64, 997];

/// One way to set and play an insert.
struct Job {
    name: &'static str,
    plug_in: &'static str,
    settings: &'static [(&'static str, &'static str)],
    /// Parameters that jump ten times a second.
    moving: &'static [&'static str],
}

const JOBS: [Job; 4] = [
    Job {
        name: "defaults",
        plug_in: SISKIN,
        settings: &[],
        moving: &[],
    },
    Job {
        name: "everything on",
        plug_in: SISKIN,
        settings: ALL_STAGES,
        moving: &[],
    },
    Job {
        name: "Siskin Follow",
        plug_in: SISKIN_FOLLOW,
        settings: &[("sib_prop", "-11 LU"), ("sib_range", "18 dB"), ("br_on", "on")],
        moving: &[],
    },
    Job {
        name: "automation",
        plug_in: SISKIN,
        settings: &[("br_on", "on")],
        moving: &["sib_prop", "sib_reach", "out_gain", "sib_from"],
    },
];

/// What is played: the voice, and the lead of the side-chain.
struct Sounds {
    voice: Vec<Vec<f32>>,
    lead: Vec<Vec<f32>>,
}

impl Sounds {
    /// The song. Systems differ in the last bits of a sine: whoever compares reads what the other has played.
    fn new() -> Self {
        if let Some(folder) = folder(COMPARE_WITH) {
            let [voice, lead] = ["voice", "lead"].map(|name| read(&folder, name));
            return Self { voice, lead };
        }
        let song = Voice::song(RATE_HZ);
        let sounds = Self {
            voice: song.channels(Input::Levelled, 2).to_vec(),
            lead: song.channels(Input::Raw, 2).to_vec(),
        };
        if let Some(folder) = folder(KEEP_IN) {
            write(&folder, "voice", &sounds.voice);
            write(&folder, "lead", &sounds.lead);
        }
        sounds
    }

    fn blocks(&self, job: &Job, insert: &Insert) -> Vec<HostBlock> {
        let mut given = with_lead(job.plug_in, blocks(&self.voice, &BLOCKS), &self.lead);
        let mut start = 0;
        for block in &mut given {
            let end = start + block.samples;
            block.events = job.events(insert, start..end);
            start = end;
        }
        given
    }
}

impl Job {
    fn events(&self, insert: &Insert, samples: std::ops::Range<usize>) -> Vec<ParamEvent> {
        const EVERY_SAMPLES: usize = 4801;
        let Insert::Clap(plugin) = insert else {
            unreachable!("the numbers are alike in both formats, and asked of CLAP's insert")
        };
        let due = samples.clone().filter(|sample| sample % EVERY_SAMPLES == 0);
        due.flat_map(|sample| {
            let turn = sample / EVERY_SAMPLES;
            let number = plugin
                .parameter(self.moving.get(turn % self.moving.len().max(1))?)
                .unwrap()
                .clap_id;
            let value = [0.25, 0.75, 0.5][turn % 3];
            Some(ParamEvent::value((sample - samples.start) as u32, number, value))
        })
        .collect()
    }
}

fn folder(variable: &str) -> Option<PathBuf> {
    std::env::var_os(variable).map(PathBuf::from)
}

fn read(folder: &Path, name: &str) -> Vec<Vec<f32>> {
    let path = folder.join(format!("{name}.wav"));
    audio_file::read(&path)
        .unwrap_or_else(|error| panic!("{error}"))
        .channels
}

fn write(folder: &Path, name: &str, channels: &[Vec<f32>]) {
    let audio = Audio::new(RATE_HZ as u32, channels.to_vec());
    audio_file::write(&folder.join(format!("{name}.wav")), &audio, true)
        .unwrap_or_else(|error| panic!("{error}"));
}

/// What is left of `one` less `other`, on the worse channel, dB.
fn worst_db(one: &[Vec<f32>], other: &[Vec<f32>]) -> f32 {
    assert_eq!(one.len(), other.len());
    let channels = one.iter().zip(other);
    channels
        .map(|(one, other)| {
            assert_eq!(one.len(), other.len());
            residual_db(one, other)
        })
        .fold(f32::NEG_INFINITY, f32::max)
}

/// Keeps a sound and a state, or holds them against those of another system, as the variables say.
fn across_systems(name: &str, sound: &[Vec<f32>], state: &[u8]) {
    let state_file = |folder: PathBuf| folder.join(format!("{name}.json"));
    if let Some(folder) = folder(KEEP_IN) {
        write(&folder, name, sound);
        fs::write(state_file(folder), state).unwrap();
    } else if let Some(folder) = folder(COMPARE_WITH) {
        let left_db = worst_db(&read(&folder, name), sound);
        println!("{name}: {left_db:.0} dB are left of the difference to the other system");
        assert!(left_db < RESIDUAL_DB, "{name}: {left_db} dB");
        // The very bytes: each system opens what the other saved.
        assert_eq!(fs::read(state_file(folder)).unwrap(), state, "{name}: the state");
    }
}

#[test]
fn both_formats_and_every_system_sound_alike() {
    let sounds = Sounds::new();
    for job in &JOBS {
        let mut inserts = both_with(job.plug_in, 2, job.settings);
        let given = sounds.blocks(job, &inserts[0]);
        let played = inserts.each_mut().map(|insert| {
            let state = insert.save_json().unwrap();
            insert.activate(RATE_HZ, 1024).unwrap();
            let sound = play(insert, &mut given.clone());
            let latency = insert.latency_samples().unwrap();
            insert.deactivate();
            (sound, state, latency)
        });
        let [(clap, state, latency), (vst3, vst3_state, _)] = played;
        let formats_db = worst_db(&clap, &vst3);
        assert!(
            formats_db < RESIDUAL_DB,
            "{}: {formats_db} dB between the formats",
            job.name
        );
        assert_eq!(state, vst3_state, "{}", job.name);
        let length = sounds.voice[0].len() - latency;
        let input: Vec<Vec<f32>> = sounds
            .voice
            .iter()
            .map(|voice| voice[..length].to_vec())
            .collect();
        let output: Vec<Vec<f32>> = clap.iter().map(|output| output[latency..].to_vec()).collect();
        let own_work_db = worst_db(&input, &output);
        assert!(
            own_work_db > OWN_WORK_DB,
            "{}: it did nothing, {own_work_db} dB",
            job.name
        );
        across_systems(job.name, &clap, &state);
    }
}
