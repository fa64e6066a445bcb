//! The corpus out of its folder, as `tests/python/corpus` leaves it: `manifest.json`, and for each recording
//! `recordings/NAME.wav` and `recordings/NAME.tsv`.

use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::{fs, io};

use serde::Deserialize;

use super::labels::{LabelError, read_labels};
use super::phones::Notation;
use super::recording::{Origin, Precision, Recording};
use crate::measurement::voices::audio_file::{self, AudioFileError};

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

/// What can be wrong with a corpus: one line for a person.
#[derive(Debug, thiserror::Error)]
pub enum CorpusError {
    /// Nothing tells where it lies.
    #[error("SISKIN_CORPUS does not name the folder of the voices; run: cargo xtask test --setup")]
    Untold,
    /// The manifest or labels are missing or no text.
    #[error("{} cannot be read: {cause}; run: cargo xtask test --setup", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system says.
        cause: io::Error,
    },
    /// The manifest is of another form.
    #[error("{} is no manifest of voices: {cause}; run: cargo xtask test --setup", path.display())]
    Manifest {
        /// The file.
        path: PathBuf,
        /// What the parser says, with the place.
        cause: serde_json::Error,
    },
    /// The sound cannot be read.
    #[error(transparent)]
    Audio(#[from] AudioFileError),
    /// The sound has more than one channel: labels would not tell of which they speak.
    #[error("{} has {channels} channels; a labelled voice has one", path.display())]
    Channels {
        /// The file.
        path: PathBuf,
        /// How many.
        channels: usize,
    },
    /// A label is wrong.
    #[error("{}, {cause}", path.display())]
    Label {
        /// The file.
        path: PathBuf,
        /// The line and what is wrong there.
        cause: LabelError,
    },
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
    /// The corpus in `folder`.
    ///
    /// # Errors
    ///
    /// Any [`CorpusError`] but [`CorpusError::Untold`].
    pub fn load(folder: &Path) -> Result<Self, CorpusError> {
        let path = folder.join("manifest.json");
        let manifest: Manifest =
            serde_json::from_str(&read(&path)?).map_err(|cause| CorpusError::Manifest { path, cause })?;
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

    /// The corpus that `cargo xtask test` tells of.
    ///
    /// # Errors
    ///
    /// Any [`CorpusError`].
    pub fn of_this_run() -> Result<Self, CorpusError> {
        Self::told_by(std::env::var_os("SISKIN_CORPUS"))
    }

    fn told_by(folder: Option<OsString>) -> Result<Self, CorpusError> {
        Self::load(Path::new(&folder.ok_or(CorpusError::Untold)?))
    }
}

fn load_recording(folder: &Path, entry: Entry) -> Result<Recording, CorpusError> {
    let path = folder.join(format!("{}.wav", entry.name));
    let mut sound = audio_file::read(&path)?;
    let channels = sound.channels.len();
    let audio = match sound.channels.pop() {
        Some(audio) if channels == 1 => audio,
        _ => return Err(CorpusError::Channels { path, channels }),
    };
    let path = folder.join(format!("{}.tsv", entry.name));
    let phones = read_labels(&read(&path)?, entry.notation, audio.len())
        .map_err(|cause| CorpusError::Label { path, cause })?;
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

fn read(path: &Path) -> Result<String, CorpusError> {
    fs::read_to_string(path).map_err(|cause| CorpusError::Read {
        path: path.into(),
        cause,
    })
}

#[cfg(test)]
mod tests;
