//! `render`: a sound file through the built CLAP bundle, as a host does offline.

mod play;
mod start;

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use clap::Args;
use siskin_host::audio_file::{self, Audio};
use siskin_host::automation::Point;
use siskin_host::clap::Bundle;

use start::Start;

/// Which parts of the track are rendered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum RenderedPart {
    /// The voice without its breaths
    Voice,
    /// The breaths alone
    Breaths,
    /// Each into a file of its own
    Both,
}

/// What a person asks of a rendering.
#[derive(Debug, Clone, Args)]
pub struct RenderOptions {
    /// The sound file: WAV, FLAC or AIFF, mono or stereo
    #[arg(value_name = "IN.wav")]
    pub input: PathBuf,
    /// Folder for the result, IN-siskin.wav; the input's own folder where none is given
    #[arg(long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Start from one of the starting points: lead, breaths, double, backing-stack; --set changes it further
    #[arg(long, value_name = "WORD")]
    pub start: Option<String>,
    /// Start from a saved state: a JSON file like those in target/bundled/presets
    #[arg(long, value_name = "FILE.json", conflicts_with = "start")]
    pub state: Option<PathBuf>,
    /// Render a part of the track, into IN-siskin-voice.wav or IN-siskin-breaths.wav; both add up to the whole
    #[arg(long, value_enum)]
    pub part: Option<RenderedPart>,
    /// Set a parameter, in its plain unit or by its word: sib_prop=-9, br_on=on, sib_from="4 kHz"
    #[arg(long, value_name = "ID=VALUE", num_args = 1..)]
    pub set: Vec<String>,
    /// Change parameters on the way: CSV lines "time_s,id,value", sorted by time; each holds until the next
    #[arg(long, value_name = "FILE.csv")]
    pub automation: Option<PathBuf>,
    /// Follow the voice of this file instead (the plug-in is then Siskin Follow)
    #[arg(long, value_name = "REF.wav")]
    pub reference: Option<PathBuf>,
    /// Block size in samples
    #[arg(long, value_name = "N", default_value_t = 512)]
    pub block: usize,
    /// Replace a result that exists
    #[arg(long)]
    pub force: bool,
}

impl RenderOptions {
    /// All at its default, for the file at `input`.
    pub fn of(input: PathBuf) -> Self {
        Self {
            input,
            out: None,
            start: None,
            state: None,
            part: None,
            set: Vec::new(),
            automation: None,
            reference: None,
            block: 512,
            force: false,
        }
    }
}

/// The largest block, in samples: a minute at 48 kHz is more than any host hands over, and its buffers fit anywhere.
const LARGEST_BLOCK: usize = 60 * 48_000;

/// The id of the parameter that `--part` sets.
const PART: &str = "part";

/// The sounds that a rendering starts from.
#[derive(Debug, Clone)]
pub struct Sounds {
    /// The voice.
    pub voice: Audio,
    /// The voice that is followed, for a plug-in with a side-chain.
    pub reference: Option<Audio>,
}

/// Renders one file. The CLAP bundle is asked for after what can be refused without it.
pub fn run(options: &RenderOptions, bundle: impl FnOnce() -> Result<PathBuf>) -> Result<()> {
    ensure!(
        (1..=LARGEST_BLOCK).contains(&options.block),
        "--block takes 1 to {LARGEST_BLOCK} samples, not {}",
        options.block
    );
    let settings = read_settings(&options.set)?;
    let parts = parts(options.part);
    let outputs: Vec<PathBuf> = parts
        .iter()
        .map(|part| output_path(options, *part))
        .collect::<Result<_>>()?;
    for output in &outputs {
        audio_file::check_absent(output, options.force)?;
    }
    let sounds = read_sounds(options)?;
    let points = play::read_automation(options.automation.as_deref())?;
    let saved = start::read_state(options.state.as_deref())?;
    let bundle = Bundle::load(&bundle()?)?;
    let start = Start::choose(&bundle, options, saved)?;
    for (part, output) in parts.iter().zip(&outputs) {
        let settings: Vec<_> = settings
            .iter()
            .copied()
            .chain(part.map(|part| (PART, part)))
            .collect();
        let audio = play::play(&start, options, &settings, sounds.clone(), &points)?;
        audio_file::write(output, &audio, options.force)?;
        println!("wrote {}", output.display());
    }
    Ok(())
}

/// The values of the parameter [`PART`] that are rendered; `None` leaves it as it is.
fn parts(part: Option<RenderedPart>) -> &'static [Option<&'static str>] {
    match part {
        None => &[None],
        Some(RenderedPart::Voice) => &[Some("voice")],
        Some(RenderedPart::Breaths) => &[Some("breaths")],
        Some(RenderedPart::Both) => &[Some("voice"), Some("breaths")],
    }
}

/// Renders sounds in memory through the plug-in of `bundle` that `options` ask for, from its settings; no file is read or
/// written.
pub fn sounds(bundle: &Bundle, options: &RenderOptions, sounds: Sounds, points: &[Point]) -> Result<Audio> {
    let settings = read_settings(&options.set)?;
    let start = Start::choose(bundle, options, None)?;
    play::play(&start, options, &settings, sounds, points)
}

/// Splits each `ID=VALUE`.
fn read_settings(given: &[String]) -> Result<Vec<(&str, &str)>> {
    given
        .iter()
        .map(|text| {
            text.split_once('=')
                .with_context(|| format!("--set takes ID=VALUE, not \"{text}\""))
        })
        .collect()
}

fn output_path(options: &RenderOptions, part: Option<&str>) -> Result<PathBuf> {
    let stem = options
        .input
        .file_stem()
        .with_context(|| format!("{} is not a file", options.input.display()))?;
    let mut name = stem.to_owned();
    name.push("-siskin");
    if let Some(word) = part {
        name.push("-");
        name.push(word);
    }
    name.push(".wav");
    let folder = options.out.as_deref().or(options.input.parent());
    Ok(folder.unwrap_or(Path::new("")).join(name))
}

fn read_sounds(options: &RenderOptions) -> Result<Sounds> {
    let voice = read_voice(&options.input)?;
    let Some(path) = &options.reference else {
        return Ok(Sounds {
            voice,
            reference: None,
        });
    };
    let reference = read_voice(path)?;
    if reference.sample_rate_hz != voice.sample_rate_hz {
        bail!(
            "{} runs at {} Hz and the input at {} Hz; convert one of them",
            path.display(),
            reference.sample_rate_hz,
            voice.sample_rate_hz
        );
    }
    Ok(Sounds {
        voice,
        reference: Some(reference),
    })
}

/// Reads a sound of one or two channels.
pub fn read_voice(path: &Path) -> Result<Audio> {
    let audio = audio_file::read(path)?;
    let channels = audio.channels.len();
    ensure!(
        channels <= 2,
        "{} has {channels} channels; only mono and stereo can be rendered",
        path.display()
    );
    Ok(audio)
}
