//! `cargo xtask properties`: what must hold of the sound, measured on every labelled voice, on one page.

mod measured;
mod page;
mod promises;
mod sections;

use std::path::PathBuf;
use std::time::Instant;

use anyhow::{Result, ensure};
use clap::Args;
use siskin_tests::measurement::voices::corpus::Corpus;

use crate::report::output::{Output, write_text};
use crate::setup::corpus;
use crate::setup::workspace::Workspace;

/// What a person asks of the properties.
#[derive(Debug, Args)]
pub struct PropertiesOptions {
    /// Only voices whose line in the table contains this, as "singer", "espeak-de" or "promo"
    #[arg(long, value_name = "NAME")]
    voice: Option<String>,
    /// Also write the page as Markdown
    #[arg(long, value_name = "FILE")]
    markdown: Option<PathBuf>,
    #[command(flatten)]
    output: Output,
}

/// Measures every property on every voice and prints the page.
pub fn run(options: &PropertiesOptions) -> Result<()> {
    let started = Instant::now();
    options.output.check(&options.markdown)?;
    let corpus = Corpus::load(&corpus::require(&Workspace::locate()?)?)?;
    let measured = measured::measure(&corpus.recordings, options.voice.as_deref())?;
    ensure!(
        !measured.is_empty(),
        "no matching voice; there are singer, espeak-..., and the packages of the real voices with their languages"
    );
    let sections = sections::of(&measured);
    options.output.report(&sections)?;
    if let Some(path) = &options.markdown {
        write_text(path, &page::text(&sections))?;
    }
    println!("run time {:.0} s", started.elapsed().as_secs_f64());
    Ok(())
}
