//! `cargo xtask demo`: a song of our own, levelled hard, rendered five ways, measured and drawn.
//!
//! The song is sung, rendered through the built bundle in the in-process host, measured by what knows nothing of the
//! plug-in, and written as sound, pictures and figures.

mod chain;
mod figures;
mod pictures;
mod report;
mod table;
mod trace;

use std::path::{Path, PathBuf};
use std::time::Instant;

use anyhow::{Context, Result};
use siskin_tests::measurement::voices::audio_file::{self, Audio};
use siskin_tests::measurement::voices::singer::sing;

use crate::bundle;
use crate::progress;
use chain::Renderings;
use figures::Figures;

/// The demo's sample rate and the seed of its singer: any other would do.
const SAMPLE_RATE_HZ: u32 = 48_000;
const SEED: u64 = 2026;
/// Steps that the progress bar counts: singing, seven renderings, measuring, invariance, writing.
const STEPS: u64 = 11;

/// What a person asks of the demo.
#[derive(Debug, Clone)]
pub struct DemoOptions {
    /// Folder for the WAV files and the report.
    pub out: PathBuf,
    /// Where the table goes as JSON, if anywhere.
    pub json: Option<PathBuf>,
    /// Whether files that exist may be replaced.
    pub force: bool,
}

/// Sings the demo song, renders it five ways and writes what came of it.
///
/// # Errors
///
/// A file that exists already (without `--force`), a folder that cannot be written, a bundle that cannot be built.
pub fn run(options: &DemoOptions) -> Result<()> {
    let started = Instant::now();
    refuse_existing(options)?;
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
    let trace = trace::listen(&renderings.untamed, song.sample_rate_hz);
    let figures = Figures::of(&song, &renderings, &trace);
    say("writing");
    for rendering in renderings.all() {
        write_sound(&wav_path(options, rendering.file), rendering.audio, options.force)?;
    }
    let pictures = pictures::draw(&song, &renderings, &trace, &figures)?;
    write_text(&options.out.join(REPORT), &report::page(&figures, &pictures))?;
    write_text(&options.out.join(PICTURE), &pictures.timeline)?;
    bar.finish_and_clear();

    table::print(&figures);
    if let Some(path) = &options.json {
        write_text(path, &table::json(&figures))?;
        println!("wrote {}", path.display());
    }
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

fn wav_path(options: &DemoOptions, name: &str) -> PathBuf {
    options.out.join(format!("{name}.wav"))
}

/// Refuses before any work is done, so that nothing is lost and nobody waits in vain.
fn refuse_existing(options: &DemoOptions) -> Result<()> {
    let sounds = chain::FILES.iter().map(|name| wav_path(options, name));
    let texts = [options.out.join(REPORT), options.out.join(PICTURE)];
    for path in sounds.chain(texts).chain(options.json.clone()) {
        audio_file::refuse_existing(&path, options.force)?;
    }
    std::fs::create_dir_all(&options.out)
        .with_context(|| format!("cannot make the folder {}", options.out.display()))
}

fn write_sound(path: &Path, audio: &[f32], force: bool) -> Result<()> {
    let audio = Audio {
        sample_rate_hz: SAMPLE_RATE_HZ,
        channels: vec![audio.to_vec()],
    };
    Ok(audio_file::write(path, &audio, force)?)
}

fn write_text(path: &Path, text: &str) -> Result<()> {
    std::fs::write(path, text).with_context(|| format!("cannot write {}", path.display()))
}
