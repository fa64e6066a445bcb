//! What goes into every host's session: sounds, the plug-in, the automation.

use std::path::{Path, PathBuf};

use anyhow::Result;
use serde::Deserialize;
use serde_json::{Value, json};
use siskin_tests::measurement::voices::audio_file::{self, Audio};
use siskin_tests::measurement::voices::singer::{Kind, Section, Song, sing, sing_along};

use super::emptied;
use super::program::Case;
use crate::build::bundle::Bundles;

/// The sample rate, Hz, and the seeds of the lead and of who sings along: any others would do.
pub const SAMPLE_RATE_HZ: u32 = 48_000;
pub const LEAD_SEED: u64 = 2026;
const DOUBLE_SEED: u64 = 7;
/// Every section its Proportion, LU: far enough apart, and low enough, that each is heard in the raw voice. In steps that
/// a 32-bit float holds to the bit.
const PROPORTION_LU: [f64; 3] = [-9.0, -12.0, -20.0];
/// Range of Proportion, LU: hosts of VST3 want 0 ... 1.
const LOWEST_LU: f64 = -24.0;
const HIGHEST_LU: f64 = 12.0;
/// The automation moves on this grid, samples: one tick of 1/960 beat, two of 1/1920, at 48 kHz and 120 beats a minute.
/// Sessions keep times in such ticks.
const TICK_SAMPLES: usize = 25;
/// Silence after the song, samples: hosts differ in where a clip ends to the sample.
const AFTER: usize = 24_000;

/// A value from a sample on.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct Move {
    /// The sample, from the song's first.
    pub sample: usize,
    /// Proportion, LU.
    #[serde(rename = "value")]
    pub value_lu: f64,
}

/// The sounds and the automation, and where they lie.
#[derive(Debug)]
pub struct Session {
    /// The folder of everything.
    pub folder: PathBuf,
    /// The voice with the plug-in on it, stereo.
    pub voice: Audio,
    /// The lead that Siskin Follow follows, stereo.
    pub lead: Audio,
    /// The file of the voice.
    pub voice_path: PathBuf,
    /// Where the voice begins in the host's session.
    pub begins_at_sample: usize,
    /// What is asked of the automation; the first at 0.
    pub moves: Vec<Move>,
    /// Names and plain values of parameters that are set and stay.
    pub also: Vec<(&'static str, f64)>,
    /// Where the plug-ins are.
    pub bundles: Bundles,
}

impl Session {
    /// Sings, and writes the sounds into `folder`, which is emptied first.
    pub fn write(folder: &Path, bundles: &Bundles) -> Result<Self> {
        emptied(folder)?;
        let rate_hz = f64::from(SAMPLE_RATE_HZ);
        let song = sing(rate_hz, LEAD_SEED);
        let double = sing_along(rate_hz, LEAD_SEED, DOUBLE_SEED);
        let session = Self {
            folder: folder.into(),
            // The channels differ, so that an exchange of them is seen.
            voice: stereo(&[&song.audio, &double.audio]),
            lead: stereo(&[&song.audio, &song.audio]),
            voice_path: folder.join("voice.wav"),
            begins_at_sample: 0,
            moves: moves(&song),
            also: Vec::new(),
            bundles: bundles.clone(),
        };
        audio_file::write(&session.voice_path, &session.voice, true)?;
        audio_file::write(&session.lead_path(), &session.lead, true)?;
        Ok(session)
    }

    /// The file of the lead.
    pub fn lead_path(&self) -> PathBuf {
        self.folder.join("lead.wav")
    }

    /// What a script receives (`tests/hosts/job.py`).
    pub fn job(&self, case: Case) -> Value {
        let described = |step: &Move| {
            json!({
                "sample": step.sample,
                "value": step.value_lu,
                "normalised": (step.value_lu - LOWEST_LU) / (HIGHEST_LU - LOWEST_LU),
            })
        };
        let moves: Vec<Value> = self.moves.iter().map(described).collect();
        json!({
            "plugin": case.plug_in(),
            "clap": self.bundles.clap,
            "vst3": self.bundles.vst3,
            "voice": self.voice_path,
            "reference": (case == Case::SideChain).then(|| self.lead_path()),
            "sample_rate_hz": SAMPLE_RATE_HZ,
            "samples": self.voice.length(),
            "begins_at_sample": self.begins_at_sample,
            "parameter": "Proportion",
            "id": "sib_prop",
            "moves": moves,
            "also": self.also,
        })
    }
}

/// Two channels of one length, with silence after them.
pub fn stereo(channels: &[&Vec<f32>; 2]) -> Audio {
    let longest = channels.iter().map(|channel| channel.len()).max().unwrap_or(0);
    let padded = |channel: &&Vec<f32>| {
        let mut padded = (*channel).clone();
        padded.resize(longest + AFTER, 0.0);
        padded
    };
    Audio::new(SAMPLE_RATE_HZ, channels.iter().map(padded).collect())
}

/// One move a section, in the middle of its first sibilant: there a move at another sample sounds otherwise.
fn moves(song: &Song) -> Vec<Move> {
    let sections = Section::ALL.iter().zip(PROPORTION_LU);
    let within = |section: Section| {
        let sibilants = song.spans(section, Kind::Sibilant);
        sibilants.first().map_or(0, |span| (span.start + span.end) / 2)
    };
    sections
        .map(|(section, value_lu)| Move {
            sample: match section {
                Section::Verse => 0,
                _ => within(*section) / TICK_SAMPLES * TICK_SAMPLES,
            },
            value_lu,
        })
        .collect()
}
