//! `cargo xtask score`: the labelled voices through the engine, in figures and pictures.

mod goals;
mod page;
mod picture;
mod sections;
mod spectrogram;
mod takes;
mod verdicts;

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::time::Instant;

use anyhow::{Result, ensure};
use clap::Args;
use siskin_tests::measurement::figures::detector::score;
use siskin_tests::measurement::voices::corpus::{Corpus, Recording};

use crate::measure::on_all_cores;
use crate::report::output::{Output, write_text};
use crate::setup::corpus;
use crate::setup::workspace::Workspace;
use takes::{ChosenConditions, ChosenRates, Scored};

/// What a person asks of the score.
#[derive(Debug, Args)]
pub struct ScoreOptions {
    /// Only recordings whose name contains this
    #[arg(long, value_name = "NAME")]
    voice: Option<String>,
    /// Only recordings whose source contains this
    #[arg(long, value_name = "NAME")]
    source: Option<String>,
    /// A hard condition beside the clean voices: its name, or all
    #[arg(long, value_name = "NAME|all", default_value = "clean")]
    condition: ChosenConditions,
    /// The sample rates: the recordings' own, 48 kHz, or both
    #[arg(long, value_enum, default_value_t = ChosenRates::Both)]
    rate: ChosenRates,
    /// Also write a page with pictures of the worst cases
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    #[command(flatten)]
    output: Output,
}

/// Scores the voices and prints the figures.
pub fn run(options: &ScoreOptions) -> Result<()> {
    let started = Instant::now();
    options.output.check(&options.html)?;
    let corpus = Corpus::load(&corpus::require(&Workspace::locate()?)?)?;
    let voices = chosen(&corpus.recordings, options)?;
    let takes = takes::all(&voices, &options.condition.list(), options.rate);
    let scored = on_all_cores(&takes, |take, bar| {
        bar.set_message("listening");
        let score = score(&take.perform());
        Scored { take: *take, score }
    })?;
    let sections = sections::sections(&sections::chapters(&scored));
    options.output.report(&sections)?;
    if let Some(path) = &options.html {
        write_text(path, &page::page(&sections, &scored)?)?;
    }
    let minutes: f64 = scored
        .iter()
        .map(|scored| scored.score.figures.duration_s / 60.0)
        .sum();
    println!(
        "run time {:.1} s for {minutes:.1} min of labelled sound",
        started.elapsed().as_secs_f64()
    );
    Ok(())
}

/// The recordings that are asked for, each with its place in the corpus.
fn chosen<'a>(recordings: &'a [Recording], options: &ScoreOptions) -> Result<Vec<(usize, &'a Recording)>> {
    let matches =
        |asked: &Option<String>, name: &str| asked.as_deref().is_none_or(|asked| name.contains(asked));
    let is_chosen = |recording: &Recording| {
        matches(&options.voice, &recording.name) && matches(&options.source, &recording.source)
    };
    let voices: Vec<_> = recordings
        .iter()
        .enumerate()
        .filter(|(_, recording)| is_chosen(recording))
        .collect();
    let sources = recordings.iter().map(|recording| recording.source.as_str());
    ensure!(
        !voices.is_empty(),
        "no matching recording; the sources are {} (all names: target/corpus/manifest.json)",
        Vec::from_iter(BTreeSet::from_iter(sources)).join(", ")
    );
    Ok(voices)
}
