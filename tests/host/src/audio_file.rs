//! Sound files: WAV, FLAC and AIFF of any common bit depth in, 32-bit float WAV out. An error is one line for a person, which
//! names the file first.

use std::fs::{self, File};
use std::io::{self, BufWriter};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
use hound::{WavSpec, WavWriter};
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
    let mut reader = Reader::open(path)?;
    let mut channels: Vec<Vec<f32>> = Vec::new();
    while let Some(piece) = reader.next_piece()? {
        channels.resize(piece.len(), Vec::new());
        append(&mut channels, piece);
    }
    let audio = Audio::new(reader.sample_rate_hz, channels);
    ensure!(
        audio.length() > 0,
        "{} holds no sound: its length is zero",
        path.display()
    );
    Ok(audio)
}

fn append(channels: &mut [Vec<f32>], piece: &[Vec<f32>]) {
    for (channel, piece) in channels.iter_mut().zip(piece) {
        channel.extend_from_slice(piece);
    }
}

/// Refuses a file that cannot be opened or is no sound, before long work: only its beginning is read.
pub fn check_readable(path: &Path) -> Result<()> {
    Reader::open(path).map(drop)
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

/// A sound file that is read piece by piece.
pub struct Reader {
    path: PathBuf,
    format: Box<dyn FormatReader>,
    track_id: u32,
    decoder: Box<dyn AudioDecoder>,
    /// The last packet, a vector a channel.
    planes: Vec<Vec<f32>>,
    /// What [`Reader::take`] has read too much.
    rest: Vec<Vec<f32>>,
    sample_rate_hz: u32,
}

impl Reader {
    /// Opens a file. Fails for one that is no sound.
    pub fn open(path: &Path) -> Result<Self> {
        let file = open(path).with_context(|| format!("{} cannot be opened", path.display()))?;
        let format = probe(file, path).with_context(|| not_readable(path))?;
        let (track_id, decoder) = decoder(format.as_ref()).with_context(|| not_readable(path))?;
        Ok(Self {
            path: path.to_owned(),
            format,
            track_id,
            decoder,
            planes: Vec::new(),
            rest: Vec::new(),
            sample_rate_hz: 0,
        })
    }

    /// The next piece, a vector a channel; `None` at the end. Fails for a file that is cut short within a frame.
    pub fn next_piece(&mut self) -> Result<Option<&[Vec<f32>]>> {
        let has_piece = self.decode().with_context(|| not_readable(&self.path))?;
        Ok(has_piece.then_some(self.planes.as_slice()))
    }

    /// The next `samples` of each channel; fewer at the end.
    pub fn take(&mut self, samples: usize) -> Result<Vec<Vec<f32>>> {
        let mut taken = std::mem::take(&mut self.rest);
        while taken.first().map_or(0, Vec::len) < samples
            && let Some(piece) = self.next_piece()?
        {
            taken.resize(piece.len(), Vec::new());
            append(&mut taken, piece);
        }
        let too_much = |channel: &mut Vec<f32>| channel.split_off(samples.min(channel.len()));
        self.rest = taken.iter_mut().map(too_much).collect();
        Ok(taken)
    }

    fn decode(&mut self) -> Result<bool, DecodeError> {
        while let Some(packet) = self.format.next_packet()? {
            if packet.track_id == self.track_id {
                let decoded = self.decoder.decode(&packet)?;
                decoded.copy_to_vecs_planar(&mut self.planes);
                self.sample_rate_hz = decoded.spec().rate();
                return Ok(true);
            }
        }
        Ok(false)
    }
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

/// Writes `audio` as 32-bit float WAV, as [`Writer`] does.
pub fn write(path: &Path, audio: &Audio, force: bool) -> Result<()> {
    let mut writer = Writer::create(path, audio.sample_rate_hz, audio.channels.len(), force)?;
    writer.add(&audio.channels)?;
    writer.finish()
}

/// A 32-bit float WAV that is written piece by piece. The file appears whole or not at all: it is written beside its place
/// under another name and then renamed.
pub struct Writer {
    path: PathBuf,
    force: bool,
    draft: NamedTempFile,
    encoder: WavWriter<BufWriter<File>>,
}

impl Writer {
    /// Begins a file. The folder is made where it is missing. Fails for a file that exists, unless `force`.
    pub fn create(path: &Path, sample_rate_hz: u32, channels: usize, force: bool) -> Result<Self> {
        check_absent(path, force)?;
        let failed = || format!("{} cannot be written", path.display());
        let specification = WavSpec {
            channels: channels as u16,
            sample_rate: sample_rate_hz,
            bits_per_sample: 32,
            sample_format: hound::SampleFormat::Float,
        };
        let draft = draft_beside(path).with_context(failed)?;
        let file = draft.reopen().with_context(failed)?;
        let encoder = WavWriter::new(BufWriter::new(file), specification).with_context(failed)?;
        Ok(Self {
            path: path.to_owned(),
            force,
            draft,
            encoder,
        })
    }

    /// Adds sound: a vector a channel, all of one length.
    pub fn add(&mut self, channels: &[Vec<f32>]) -> Result<()> {
        for frame in 0..channels.first().map_or(0, Vec::len) {
            for channel in channels {
                let written = self.encoder.write_sample(channel[frame]);
                written.with_context(|| format!("{} cannot be written", self.path.display()))?;
            }
        }
        Ok(())
    }

    /// Ends the file and puts it in its place.
    pub fn finish(self) -> Result<()> {
        let failed = || format!("{} cannot be written", self.path.display());
        self.encoder.finalize().with_context(failed)?;
        let placed = if self.force {
            self.draft.persist(&self.path)
        } else {
            self.draft.persist_noclobber(&self.path)
        };
        placed.map(drop).with_context(failed)
    }
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
