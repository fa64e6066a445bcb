//! `cargo xtask properties`: what must hold of the sound, measured on every labelled voice, on one page.

mod chapters;
mod json;
mod markdown;
mod measured;
mod table;

use std::path::PathBuf;
use std::time::Instant;

use anyhow::{Result, ensure};
use clap::Args;
use siskin_tests::measurement::voices::corpus::Corpus;

use crate::files::{refuse_in_vain, write_text};
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
