//! Sound files: WAV, FLAC and AIFF of any common bit depth in, 32-bit float WAV out. An error is one line for a person, which
//! names the file first.

use std::fs::{self, File};
use std::io::{self, BufWriter};
use std::path::Path;

use anyhow::{Context, Result, ensure};
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
    /// One vector a channel, all of one length.
    pub fn new(sample_rate_hz: u32, channels: Vec<Vec<f32>>) -> Self {
        Self {
            sample_rate_hz,
            channels,
        }
    }

    /// Samples of each channel.
    pub fn length(&self) -> usize {
        self.channels.first().map_or(0, Vec::len)
    }
}

/// Reads a whole sound file. Fails for one that is no sound, is cut short within a frame, or holds no samples.
pub fn read(path: &Path) -> Result<Audio> {
    let file = open(path).with_context(|| format!("{} cannot be opened", path.display()))?;
    let audio = decode(file, path).with_context(|| not_readable(path))?;
    ensure!(
        audio.length() > 0,
        "{} holds no sound: its length is zero",
        path.display()
    );
    Ok(audio)
}

/// Refuses a file that cannot be opened or is no sound, before long work: only its beginning is read.
pub fn check_readable(path: &Path) -> Result<()> {
    let file = open(path).with_context(|| format!("{} cannot be opened", path.display()))?;
    let format = probe(file, path).and_then(|format| decoder(format.as_ref()).map(drop));
    format.with_context(|| not_readable(path))
}

fn not_readable(path: &Path) -> String {
    format!(
        "{} is not a WAV, FLAC or AIFF file that can be read",
        path.display()
    )
}

fn open(path: &Path) -> io::Result<File> {
    let file = File::open(path)?;
    if file.metadata()?.is_dir() {
        return Err(io::ErrorKind::IsADirectory.into());
    }
    Ok(file)
}

fn probe(file: File, path: &Path) -> Result<Box<dyn FormatReader>, DecodeError> {
    let mut hint = Hint::new();
    if let Some(extension) = path.extension().and_then(|extension| extension.to_str()) {
        hint.with_extension(extension);
    }
    let stream = MediaSourceStream::new(Box::new(file), Default::default());
    symphonia::default::get_probe().probe(&hint, stream, Default::default(), Default::default())
}

fn decode(file: File, path: &Path) -> Result<Audio, DecodeError> {
    let mut format = probe(file, path)?;
    let (track_id, mut decoder) = decoder(format.as_ref())?;
    let mut audio = Audio::new(0, Vec::new());
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
pub fn check_absent(path: &Path, force: bool) -> Result<()> {
    ensure!(
        force || !path.exists(),
        "{} exists; give --force to replace it",
        path.display()
    );
    Ok(())
}

/// Writes `audio` as 32-bit float WAV. The file appears whole or not at all: it is written beside its place under
/// another name and then renamed. The folder is made where it is missing. Fails for a file that exists, unless `force`.
pub fn write(path: &Path, audio: &Audio, force: bool) -> Result<()> {
    check_absent(path, force)?;
    let failed = || format!("{} cannot be written", path.display());
    let draft = draft_beside(path).with_context(failed)?;
    encode(draft.as_file(), audio).with_context(failed)?;
    let placed = if force {
        draft.persist(path)
    } else {
        draft.persist_noclobber(path)
    };
    placed.map(drop).with_context(failed)
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
