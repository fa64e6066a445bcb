//! `cargo xtask properties`: what must hold of the sound, measured on every labelled voice, on one page.

mod chapters;
mod json;
mod markdown;
mod measured;
mod table;

use std::path::{Path, PathBuf};
use std::time::Instant;

use anyhow::{Context, Result, ensure};
use clap::Args;
use siskin_tests::audio_file;
use siskin_tests::corpus::Corpus;

use crate::test_command::corpus;
use crate::workspace::Workspace;
use chapters::Report;

/// What a person asks of the properties.
#[derive(Debug, Args)]
pub struct PropertiesOptions {
    /// Only voices whose line in the table contains this, as "singer", "espeak-de" or "promo"
    #[arg(long, value_name = "NAME")]
    voice: Option<String>,
    /// Also write the figures as JSON
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    /// Also write the page as Markdown
    #[arg(long, value_name = "FILE")]
    markdown: Option<PathBuf>,
    /// Replace files that exist
    #[arg(long)]
    force: bool,
}

/// Measures every property on every voice and prints the page.
///
/// # Errors
///
/// A corpus that is missing, a name that nothing bears, a file that exists already (without `--force`) or cannot be
/// written.
pub fn run(options: &PropertiesOptions) -> Result<()> {
    let started = Instant::now();
    for path in options.json.iter().chain(&options.markdown) {
        refuse_in_vain(path, options.force)?;
    }
    let corpus = Corpus::load(&corpus::require(&Workspace::locate()?)?)?;
    let measured = measured::measure(&corpus.recordings, options.voice.as_deref())?;
    ensure!(
        !measured.is_empty(),
        "no voice bears that name; there are singer, espeak-..., and the packages of the real voices with their languages"
    );
    let report = Report::of(&measured);
    table::print(&report);
    if let Some(path) = &options.json {
        write_text(path, &json::text(&report))?;
    }
    if let Some(path) = &options.markdown {
        write_text(path, &markdown::text(&report))?;
    }
    println!("run time {:.0} s", started.elapsed().as_secs_f64());
    Ok(())
}

/// Refuses before any work is done, so that nothing is lost and nobody waits in vain.
fn refuse_in_vain(path: &Path, force: bool) -> Result<()> {
    audio_file::refuse_existing(path, force)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    ensure!(
        folder == Path::new("") || folder.is_dir(),
        "the folder {} does not exist; make it first",
        folder.display()
    );
    Ok(())
}

fn write_text(path: &Path, text: &str) -> Result<()> {
    std::fs::write(path, text).with_context(|| format!("cannot write {}", path.display()))?;
    println!("wrote {}", path.display());
    Ok(())
}
