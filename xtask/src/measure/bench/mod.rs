//! `cargo xtask bench`: how fast the sound is made, on one page, beside what it replaces and what the machine allows.

mod entries;
mod goals;
mod instructions;
mod measured;
mod page;
mod sections;

use std::time::Instant;

use anyhow::{Result, ensure};
use clap::Args;
use siskin_tests::hosts::clap::Bundle;
use siskin_tests::measurement::bench::Sounds;

use crate::build::bundle;
use crate::report::output::{Output, write_text};
use crate::setup::python;
use crate::setup::workspace::Workspace;
use entries::MAIN_RATE_HZ;
use measured::Measured;

/// The page in the repository.
const PAGE: &str = "docs/speed.md";

/// What a person asks of the benchmarks.
#[derive(Debug, Args)]
pub struct BenchOptions {
    /// How often everything runs in turn; the quickest round counts
    #[arg(long, value_name = "N", default_value_t = 15)]
    rounds: usize,
    /// Also write the page docs/speed.md
    #[arg(long)]
    page: bool,
    #[command(flatten)]
    output: Output,
    /// Only count instructions, a minute under valgrind
    #[arg(long, conflicts_with = "page")]
    instructions: bool,
    /// For the tool that counts instructions: play this and nothing else
    #[arg(long, hide = true, num_args = 6)]
    counted: Option<Vec<String>>,
}

/// Measures everything and prints the table and the goals.
pub fn run(options: &BenchOptions) -> Result<()> {
    if let Some(words) = &options.counted {
        return instructions::play_counted(words);
    }
    ensure!(options.rounds > 0, "--rounds takes a number above 0");
    let started = Instant::now();
    options.output.check([])?;
    if options.instructions {
        let counted = instructions::count(&Sounds::sing(MAIN_RATE_HZ).song)?;
        return options.output.report(&sections::of_instructions(&counted));
    }
    let workspace = Workspace::locate()?;
    let python = python::TESTS.interpreter(&workspace)?;
    let bundles = bundle::build()?;
    let bundle = Bundle::load(&bundles.clap)?;
    let measured = Measured::of(&bundle, &bundles.vst3, &python, options.rounds)?;
    let sections = sections::of(&measured, &goals::of(&measured));
    options.output.report(&sections)?;
    if options.page {
        write_text(&workspace.root.join(PAGE), &page::text(&sections))?;
    }
    println!("run time {:.0} s", started.elapsed().as_secs_f64());
    Ok(())
}
