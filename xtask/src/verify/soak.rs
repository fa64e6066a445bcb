//! `cargo xtask soak`: random hosts for as long as one likes, and how long blocks take.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::{Result, bail};
use clap::Args;
use siskin_tests::hosts::built::{SISKIN, SISKIN_FOLLOW};
use siskin_tests::hosts::clap::Bundle;
use siskin_tests::hosts::soak::timing::{Load, Times, measure};
use siskin_tests::hosts::soak::{ACTIONS, Soak};

use super::coverage;
use crate::build::bundle;
use crate::report::table::{Cell, Table};
use crate::report::{self, Section, progress};
use crate::setup::files;
use crate::setup::workspace::Workspace;

/// Where it is said which seed runs, for what ends the program cannot say so itself.
const LAST_SEED: &str = "soak/last_seed.txt";
/// Mutated states that one note stands for.
const STATES_A_NOTE: u64 = 1000;

#[derive(Debug, Args)]
pub struct SoakOptions {
    /// How long scenes are begun, or how many minutes of sound are timed
    #[arg(long, value_name = "MINUTES", default_value_t = 10.0)]
    minutes: f64,
    /// Play the scene of this seed only, and say each act; a finding names its seed
    #[arg(long, value_name = "SEED")]
    seed: Option<u64>,
    /// Measure how long blocks take under hostile sound and automation, instead
    #[arg(long, conflicts_with = "seed")]
    timing: bool,
    /// Load mutated states and preset files, instead
    #[arg(long, conflicts_with = "timing")]
    states: bool,
    /// Say how much of the code that loads states the mutated ones reach, too
    #[arg(long, requires = "states", conflicts_with = "seed")]
    coverage: bool,
    /// The folder of bundles to drive in place of those that are built now
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["timing", "coverage"])]
    bundles: Option<PathBuf>,
    /// A library to drive in place of the CLAP bundle, for instance one that ends the program when it allocates
    #[arg(long, value_name = "FILE", requires = "timing")]
    library: Option<PathBuf>,
}

pub fn run(options: &SoakOptions) -> Result<()> {
    if !options.minutes.is_finite() || options.minutes <= 0.0 {
        bail!("--minutes takes a number above 0");
    }
    let workspace = Workspace::locate()?;
    if options.coverage {
        return coverage::run(&workspace, options.minutes);
    }
    if options.timing {
        let built = bundle::build()?.clap;
        return time(options, options.library.as_ref().unwrap_or(&built));
    }
    let soak = match &options.bundles {
        Some(folder) => Soak::load(folder)?,
        None => {
            bundle::build()?;
            Soak::load(&workspace.bundles())?
        }
    };
    let note = workspace.target.join(LAST_SEED);
    match options.seed {
        Some(seed) if options.states => {
            let mut states = soak.states()?;
            states.load(seed)?;
            println!("seed {seed}: {:?}, nothing found", states.tally());
            Ok(())
        }
        None if options.states => many_states(&soak, options.minutes, &note),
        Some(seed) => {
            let done = soak.scene(seed, |act| eprintln!("seed {seed}, act {act}"))?;
            println!("seed {seed}: {} acts, nothing found", done.len());
            Ok(())
        }
        None => many(&soak, options.minutes, &note),
    }
}

/// Scene after scene.
fn many(soak: &Soak, minutes: f64, note: &Path) -> Result<()> {
    let mut scenes = 0;
    run_seeds(minutes, note, 1, |seed| {
        scenes += 1;
        soak.scene(seed, |_| {}).map(|_| format!("{scenes} scenes"))
    })?;
    println!("{scenes} scenes of {ACTIONS} actions, nothing found");
    Ok(())
}

/// What `act` does with one seed after another, each noted `every` so often, says how far it is or what it found. The first
/// seed is the time, so that no two runs are alike.
fn run_seeds(
    minutes: f64,
    note: &Path,
    every: u64,
    mut act: impl FnMut(u64) -> Result<String>,
) -> Result<()> {
    let first = std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .map_or(0, |time| time.as_secs());
    println!(
        "first seed {first}; the latest of every {every} stands in {}",
        note.display()
    );
    let span = Duration::from_secs_f64(minutes * 60.0);
    let bar = progress::counting(span.as_secs().max(1))?;
    let start = Instant::now();
    for seed in first.. {
        if (seed - first).is_multiple_of(every) {
            if start.elapsed() >= span {
                break;
            }
            files::write(note, format!("{seed}\n"))?;
        }
        match act(seed) {
            Ok(message) => {
                bar.set_position(start.elapsed().as_secs());
                bar.set_message(format!("seconds, {message}"));
            }
            Err(finding) => {
                bar.abandon();
                return Err(finding.context(format!("again with the same options and --seed {seed}")));
            }
        }
    }
    bar.finish();
    Ok(())
}

/// Mutated states, one after another.
fn many_states(soak: &Soak, minutes: f64, note: &Path) -> Result<()> {
    let mut states = soak.states()?;
    run_seeds(minutes, note, STATES_A_NOTE, |seed| {
        states.load(seed)?;
        Ok(format!("{} states", states.tally().states))
    })?;
    let tally = states.tally();
    println!(
        "{} states: {} taken, {} preset files without one, the others refused; nothing found",
        tally.states, tally.taken, tally.unreadable
    );
    Ok(())
}

fn time(options: &SoakOptions, library: &std::path::Path) -> Result<()> {
    let bundle = Bundle::load(library)?;
    let heads = [
        "plug-in, block",
        "blocks",
        "median\nus",
        "99.99 %\nus",
        "worst\nus",
        "99.99 %\n/ median",
    ];
    let mut table = Table::new(heads);
    for name in [SISKIN, SISKIN_FOLLOW] {
        for block in [64, 512] {
            let seconds = options.minutes * 60.0;
            let bar = progress::counting(seconds as u64)?;
            bar.set_message(format!("seconds of sound through {name}"));
            let load = Load {
                name,
                sample_rate_hz: 48_000.0,
                block,
                seconds,
            };
            let [wall, processor] = measure(&bundle, &load, |played| bar.set_position(played as u64))?;
            bar.finish_and_clear();
            table.push(row(format!("{name}, {block}, of the processor"), &processor));
            table.push(row(format!("{name}, {block}, on the clock"), &wall));
        }
    }
    report::print(&[Section::new("Time of a block", table)]);
    Ok(())
}

fn row(name: String, times: &Times) -> Vec<Cell> {
    let micros =
        [times.median, times.p9999, times.worst].map(|time| Cell::figure(time.as_secs_f64() * 1e6, 1));
    let blocks = Cell::figure(times.blocks as f64, 0);
    [Cell::words(name), blocks]
        .into_iter()
        .chain(micros)
        .chain([Cell::figure(times.ratio(), 1)])
        .collect()
}
