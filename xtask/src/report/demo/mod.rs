//! `cargo xtask demo`: a song of our own, levelled hard, rendered five ways and in parts, measured and drawn.
//!
//! The song is sung, rendered through the built bundle in the in-process host, measured apart from the plug-in, and
//! written as sound, pictures and figures.

mod chain;
mod figures;
mod page;
mod pictures;
mod table;

use std::path::{Path, PathBuf};
use std::time::Instant;

use anyhow::{Context, Result};
use siskin_dsp::Settings;
use siskin_tests::measurement::figures::properties::Play;
use siskin_tests::measurement::levels::integrated_lufs;
use siskin_tests::measurement::voices::audio_file::{self, Audio};
use siskin_tests::measurement::voices::singer::{Section, Song, sing};

use crate::build::bundle;
use crate::report::output::Output;
use crate::report::player::{self, Part, Sound, Track};
use crate::report::progress;
use crate::setup::files;
use chain::Renderings;
use figures::Figures;

/// The demo's sample rate and the seed of its singer: any other would do.
const SAMPLE_RATE_HZ: u32 = 48_000;
const SEED: u64 = 2026;
/// Steps that the progress bar counts: one for each that it names.
const STEPS: u64 = 9;

/// What a person asks of the demo.
#[derive(Debug, Clone, clap::Args)]
pub struct DemoOptions {
    /// Folder for the WAV files and report.html
    #[arg(long, value_name = "DIR", default_value = "target/demo")]
    out: PathBuf,
    #[command(flatten)]
    output: Output,
}

/// Sings the demo song, renders it five ways and writes what came of it.
pub fn run(options: &DemoOptions) -> Result<()> {
    let started = Instant::now();
    check_outputs(options)?;
    let bundles = bundle::build()?;
    let bar = progress::counting(STEPS)?;
    let say = |what: &'static str| {
        bar.set_message(what);
        bar.inc(1);
    };

    say("singing");
    let song = sing(f64::from(SAMPLE_RATE_HZ), SEED);
    let renderings = Renderings::of(&song, &bundles.clap, &say)?;
    say("measuring");
    let voice = [renderings.untamed.clone()];
    let trace = Play::new(song.sample_rate_hz, &voice, &Settings::default()).run();
    let figures = Figures::of(&song, &renderings, &trace);
    say("writing");
    for rendering in renderings.all() {
        write_sound(
            &wav_path(options, rendering.file),
            rendering.audio,
            options.output.force,
        )?;
    }
    for ((_, file), audio) in chain::PARTS.iter().zip(&renderings.parts) {
        write_sound(&wav_path(options, file), audio, options.output.force)?;
    }
    let sections = table::sections(&figures);
    let pictures = pictures::draw(&song, &renderings, &trace.reports, &figures)?;
    let page = page::page(&page::Page {
        track: &write_blocks(&options.out, &song, &renderings)?,
        figures: &sections,
        sibilants: &table::sibilants(&song, &renderings, TRACK),
        pictures: &pictures,
    });
    files::write(&options.out.join(REPORT), &page)?;
    files::write(&options.out.join(PICTURE), &pictures.timeline)?;
    bar.finish_and_clear();

    options.output.report(&sections)?;
    println!(
        "wrote {} (open {REPORT} first; start listening at a moderate level)",
        options.out.display()
    );
    println!(
        "run time {:.1} s for {:.1} s of song",
        started.elapsed().as_secs_f64(),
        song.duration_s()
    );
    Ok(())
}

const REPORT: &str = "report.html";
const PICTURE: &str = "timeline.svg";
/// The song in the player.
const TRACK: &str = "song";

fn wav_path(options: &DemoOptions, name: &str) -> PathBuf {
    options.out.join(format!("{name}.wav"))
}

/// Checks before any work is done, so that nothing is lost.
fn check_outputs(options: &DemoOptions) -> Result<()> {
    let files = chain::FILES.iter().map(|(name, _)| *name);
    let files = files.chain(chain::PARTS.iter().map(|(_, name)| *name));
    let sounds = files.map(|name| wav_path(options, name));
    let texts = [REPORT, PICTURE, player::FOLDER].map(|name| options.out.join(name));
    options.output.check([])?;
    for path in sounds.chain(texts) {
        audio_file::check_absent(&path, options.output.force)?;
    }
    std::fs::create_dir_all(&options.out)
        .with_context(|| format!("cannot make the folder {}", options.out.display()))
}

fn write_sound(path: &Path, audio: &[f32], force: bool) -> Result<()> {
    let audio = Audio::new(SAMPLE_RATE_HZ, vec![audio.to_vec()]);
    audio_file::write(path, &audio, force)
}

/// Writes the sound for the page's player.
fn write_blocks(folder: &Path, song: &Song, renderings: &Renderings) -> Result<Track> {
    let renderings = renderings.all();
    let sounds = renderings.iter().map(|rendering| {
        let loudness_lufs = integrated_lufs(rendering.audio, song.sample_rate_hz);
        Sound::new(rendering.name, vec![rendering.audio], loudness_lufs)
    });
    let parts = Section::ALL.map(|section| Part::new(section.name(), song.section_span(section)));
    let sounds: Vec<Sound> = sounds.collect();
    player::write_blocks(folder, (TRACK, "Song"), SAMPLE_RATE_HZ, sounds, parts.into())
}
