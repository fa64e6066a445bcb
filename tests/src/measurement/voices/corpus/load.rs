//! The corpus out of its folder, as `tests/python/corpus` leaves it: `manifest.json`, and for each recording
//! `recordings/NAME.wav` and `recordings/NAME.tsv`.

use std::ffi::OsString;
use std::fs;
use std::path::Path;

use anyhow::{Context, Result, ensure};
use serde::Deserialize;

use super::labels::read_labels;
use super::phones::Notation;
use super::recording::{Origin, Precision, Recording};
use crate::measurement::voices::audio_file;

/// All labelled recordings.
#[derive(Debug, Clone)]
pub struct Corpus {
    /// In the order of the manifest.
    pub recordings: Vec<Recording>,
    /// What the corpus goes without.
    pub left_out: Vec<LeftOut>,
}

/// Clips that were tried and are not in the corpus.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct LeftOut {
    /// The package and its version.
    pub source: String,
    /// ISO 639-1.
    pub language: String,
    /// Why, for a person.
    pub reason: String,
    /// How many.
    pub clips: usize,
}

/// The manifest.
#[derive(Debug, Deserialize)]
struct Manifest {
    recordings: Vec<Entry>,
    left_out: Vec<LeftOut>,
}

/// What the manifest says of a recording, as far as scores need it.
#[derive(Debug, Deserialize)]
struct Entry {
    name: String,
    source: String,
    language: String,
    origin: Origin,
    precision: Precision,
    notation: Notation,
}

impl Corpus {
    /// The corpus in `folder`. An error is one line for a person.
    pub fn load(folder: &Path) -> Result<Self> {
        let path = folder.join("manifest.json");
        let manifest: Manifest = serde_json::from_str(&read(&path)?).with_context(|| {
            let path = path.display();
            format!("{path} is no manifest of voices; run: cargo xtask test --setup")
        })?;
        let recordings = manifest
            .recordings
            .into_iter()
            .map(|entry| load_recording(&folder.join("recordings"), entry))
            .collect::<Result<_, _>>()?;
        Ok(Self {
            recordings,
            left_out: manifest.left_out,
        })
    }

    /// The corpus in the folder that `cargo xtask test` names.
    pub fn of_this_run() -> Result<Self> {
        Self::in_folder(std::env::var_os("SISKIN_CORPUS"))
    }

    /// The real breaths, which lie beside the corpus; anything else is labelled only where it may be taken for a breath.
    pub fn breaths_of_this_run() -> Result<Self> {
        let beside = |folder: OsString| Path::new(&folder).join("breaths").into_os_string();
        Self::in_folder(std::env::var_os("SISKIN_CORPUS").map(beside))
    }

    fn in_folder(folder: Option<OsString>) -> Result<Self> {
        let unset = "SISKIN_CORPUS does not name the folder of the voices; run: cargo xtask test --setup";
        Self::load(Path::new(&folder.context(unset)?))
    }
}

fn load_recording(folder: &Path, entry: Entry) -> Result<Recording> {
    let path = folder.join(format!("{}.wav", entry.name));
    let mut sound = audio_file::read(&path)?;
    let channels = sound.channels.len();
    // With more of them it would be unclear which one a label means.
    ensure!(
        channels == 1,
        "{} has {channels} channels; a labelled voice has one",
        path.display()
    );
    let audio = sound.channels.swap_remove(0);
    let path = folder.join(format!("{}.tsv", entry.name));
    let phones = read_labels(&read(&path)?, entry.notation, audio.len())
        .map_err(|error| error.context(path.display().to_string()))?;
    Ok(Recording {
        name: entry.name,
        source: entry.source,
        origin: entry.origin,
        language: entry.language,
        precision: entry.precision,
        sample_rate_hz: f64::from(sound.sample_rate_hz),
        audio,
        phones,
    })
}

fn read(path: &Path) -> Result<String> {
    let failed = || format!("{} cannot be read; run: cargo xtask test --setup", path.display());
    fs::read_to_string(path).with_context(failed)
}

#[cfg(test)]
mod tests;
