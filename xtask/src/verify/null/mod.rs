//! `cargo xtask null`: the sound of now against the sound of a version before, on the same voices.

mod before;
mod rows;

use std::path::PathBuf;
use std::time::Instant;

use anyhow::{Result, bail, ensure};
use clap::Args;
use siskin_tests::hosts::clap::Bundle;
use siskin_tests::measurement::voices::corpus::{Corpus, Recording};

use crate::build::bundle;
use crate::report::output::Output;
use crate::setup::corpus;
use crate::setup::workspace::Workspace;

/// Every so-manieth recording of the corpus is played.
const EVERY_RECORDING: usize = 10;

/// What a person asks of a null test.
#[derive(Debug, Args)]
pub struct NullOptions {
    /// The version before: anything that git knows as a commit
    #[arg(value_name = "REVISION", required_unless_present = "bundle")]
    revision: Option<String>,
    /// The version before as a folder that holds its Siskin.clap, in place of a revision
    #[arg(long, value_name = "DIR", conflicts_with = "revision")]
    bundle: Option<PathBuf>,
    /// Fail where more is left than this, dB re the sound
    #[arg(long, value_name = "DB", default_value_t = -120.0, allow_negative_numbers = true)]
    below_db: f32,
    /// Only rows whose voice, rate or setting contains this, as "48 kHz" or "all on"
    #[arg(long, value_name = "NAME")]
    only: Option<String>,
    #[command(flatten)]
    output: Output,
}

/// Plays both versions and prints what is left of one without the other.
pub fn run(options: &NullOptions) -> Result<()> {
    let started = Instant::now();
    options.output.check([])?;
    let workspace = Workspace::locate()?;
    let library = match (&options.bundle, &options.revision) {
        (Some(folder), _) => folder.join("Siskin.clap"),
        (None, Some(revision)) => before::build(&workspace, revision)?,
        (None, None) => bail!("give a revision, or a folder with --bundle"),
    };
    let bundles = bundle::build()?;
    let (before, now) = (Bundle::load(&library)?, Bundle::load(&bundles.clap)?);
    let rows = rows::measure([&before, &now], &recordings(&workspace)?, options.only.as_deref())?;
    ensure!(!rows.is_empty(), "no matching row; see them all without --only");
    let sections = [rows::section(&rows, options.below_db)];
    options.output.report(&sections)?;
    println!("run time {:.0} s", started.elapsed().as_secs_f64());
    let over = rows
        .iter()
        .filter(|row| !row.residual.is_below(options.below_db))
        .count();
    ensure!(
        over == 0,
        "{over} of {} rows differ by {} dB or more",
        rows.len(),
        options.below_db
    );
    Ok(())
}

/// Some of the labelled voices; none, and a line that says so, where they were not fetched.
fn recordings(workspace: &Workspace) -> Result<Vec<Recording>> {
    match corpus::require(workspace) {
        Ok(folder) => {
            let recordings = Corpus::load(&folder)?.recordings;
            Ok(recordings.into_iter().step_by(EVERY_RECORDING).collect())
        }
        Err(missing) => {
            println!("without recordings: {missing}");
            Ok(Vec::new())
        }
    }
}
