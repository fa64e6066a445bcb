//! Sound files: WAV, FLAC and AIFF of any common bit depth in, 32-bit float WAV out.

use std::fs::{self, File};
use std::io::{self, BufWriter};
use std::path::{Path, PathBuf};

use symphonia::core::codecs::audio::{AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error as DecodeError;
use symphonia::core::formats::probe::Hint;
use symphonia::core::formats::{FormatReader, TrackType};
use symphonia::core::io::MediaSourceStream;
use tempfile::{Builder, NamedTempFile};

/// Sound in memory.
#[derive(Debug, Clone, PartialEq)]
pub struct Audio {
    /// Sample rate in Hz.
    pub sample_rate_hz: u32,
    /// One vector a channel, all of one length; full scale is 1.
    pub channels: Vec<Vec<f32>>,
}

impl Audio {
    /// Samples of each channel.
    pub fn length(&self) -> usize {
        self.channels.first().map_or(0, Vec::len)
    }
}

/// What can go wrong with a sound file, which is named first: one line for a person, complete in itself.
#[derive(Debug, thiserror::Error)]
pub enum AudioFileError {
    /// The file cannot be opened, and what the system says.
    #[error("{} cannot be opened: {error}", .0.display(), error = .1)]
    Open(PathBuf, io::Error),
    /// The file is no sound, or of a kind that is not read here, and what the decoder says.
    #[error("{} is not a WAV, FLAC or AIFF file that can be read: {error}", .0.display(), error = .1)]
    Unsupported(PathBuf, DecodeError),
    /// The file holds no samples.
    #[error("{} holds no sound: its length is zero", .0.display())]
    Empty(PathBuf),
    /// The file that is to be written exists.
    #[error("{} exists; give --force to replace it", .0.display())]
    Exists(PathBuf),
    /// The file cannot be written, and what the system or the encoder says.
    #[error("{} cannot be written: {error}", .0.display(), error = .1)]
    Write(PathBuf, Box<dyn std::error::Error + Send + Sync>),
}

/// Reads a whole sound file.
///
/// # Errors
///
/// [`AudioFileError::Open`], [`AudioFileError::Unsupported`] (also for a file that is cut short within a frame),
/// [`AudioFileError::Empty`].
pub fn read(path: &Path) -> Result<Audio, AudioFileError> {
    let file = open(path)?;
    let audio = decode(file, path).map_err(|error| AudioFileError::Unsupported(path.into(), error))?;
    if audio.length() == 0 {
        return Err(AudioFileError::Empty(path.into()));
    }
    Ok(audio)
}

fn open(path: &Path) -> Result<File, AudioFileError> {
    let failed = |cause| AudioFileError::Open(path.into(), cause);
    let file = File::open(path).map_err(failed)?;
    if file.metadata().map_err(failed)?.is_dir() {
        return Err(failed(io::ErrorKind::IsADirectory.into()));
    }
    Ok(file)
}

fn decode(file: File, path: &Path) -> Result<Audio, DecodeError> {
    let mut hint = Hint::new();
    if let Some(extension) = path.extension().and_then(|extension| extension.to_str()) {
        hint.with_extension(extension);
    }
    let stream = MediaSourceStream::new(Box::new(file), Default::default());
    let mut format =
        symphonia::default::get_probe().probe(&hint, stream, Default::default(), Default::default())?;
    let (track_id, mut decoder) = decoder(format.as_ref())?;
    let mut audio = Audio {
        sample_rate_hz: 0,
        channels: Vec::new(),
    };
    let mut planes: Vec<Vec<f32>> = Vec::new();
    while let Some(packet) = format.next_packet()? {
        if packet.track_id != track_id {
            continue;
        }
        let decoded = decoder.decode(&packet)?;
        decoded.copy_to_vecs_planar(&mut planes);
        audio.sample_rate_hz = decoded.spec().rate();
        audio.channels.resize(planes.len(), Vec::new());
        for (channel, plane) in audio.channels.iter_mut().zip(&planes) {
            channel.extend_from_slice(plane);
        }
    }
    Ok(audio)
}

fn decoder(format: &dyn FormatReader) -> Result<(u32, Box<dyn AudioDecoder>), DecodeError> {
    let track = format
        .default_track(TrackType::Audio)
        .ok_or(DecodeError::Unsupported("no sound in it"))?;
    let parameters = track
        .codec_params
        .as_ref()
        .and_then(|parameters| parameters.audio())
        .ok_or(DecodeError::Unsupported("an unknown codec"))?;
    let decoder =
        symphonia::default::get_codecs().make_audio_decoder(parameters, &AudioDecoderOptions::default())?;
    Ok((track.id, decoder))
}

/// Refuses a file that exists, unless `force`: for asking before long work.
///
/// # Errors
///
/// [`AudioFileError::Exists`].
pub fn check_absent(path: &Path, force: bool) -> Result<(), AudioFileError> {
    if !force && path.exists() {
        return Err(AudioFileError::Exists(path.into()));
    }
    Ok(())
}

/// Writes `audio` as 32-bit float WAV. The file appears whole or not at all: it is written beside its place under
/// another name and then renamed. The folder is made where it is missing.
///
/// # Errors
///
/// [`AudioFileError::Exists`] for a file that exists, unless `force`; [`AudioFileError::Write`].
pub fn write(path: &Path, audio: &Audio, force: bool) -> Result<(), AudioFileError> {
    check_absent(path, force)?;
    let failed = |cause| AudioFileError::Write(path.into(), cause);
    let draft = draft_beside(path).map_err(|error| failed(error.into()))?;
    encode(draft.as_file(), audio).map_err(|error| failed(error.into()))?;
    let placed = if force {
        draft.persist(path)
    } else {
        draft.persist_noclobber(path)
    };
    placed.map(drop).map_err(|refused| match refused.error.kind() {
        io::ErrorKind::AlreadyExists => AudioFileError::Exists(path.into()),
        _ => failed(refused.error.into()),
    })
}

/// An empty file in the folder of `path`, which goes when it is dropped.
fn draft_beside(path: &Path) -> io::Result<NamedTempFile> {
    let folder = match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    };
    fs::create_dir_all(folder)?;
    let mut builder = Builder::new();
    builder.prefix(".siskin-").suffix(".wav");
    // Such files are private to their owner by default; this one gets the usual permissions.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder)
}

fn encode(file: &File, audio: &Audio) -> hound::Result<()> {
    let specification = hound::WavSpec {
        channels: audio.channels.len() as u16,
        sample_rate: audio.sample_rate_hz,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Float,
    };
    let mut writer = hound::WavWriter::new(BufWriter::new(file), specification)?;
    for frame in 0..audio.length() {
        for channel in &audio.channels {
            writer.write_sample(channel[frame])?;
        }
    }
    writer.finalize()
}
