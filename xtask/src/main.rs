//! The commands of the house: `cargo xtask <command>`.

mod bench;
mod bundle;
mod check;
mod columns;
mod demo;
mod files;
mod hosts;
mod install;
mod notices;
mod null;
mod progress;
mod properties;
mod render;
mod score;
mod shots;
mod soak;
mod starting_points;
mod supply;
mod test_command;
mod workspace;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand};

use bench::BenchOptions;
use demo::DemoOptions;
use hosts::HostsOptions;
use null::NullOptions;
use properties::PropertiesOptions;
use render::RenderOptions;
use score::ScoreOptions;
use shots::ShotsOptions;
use soak::SoakOptions;

/// Builds, tries, shows and installs Siskin.
#[derive(Debug, Parser)]
#[command(name = "cargo xtask", bin_name = "cargo xtask", arg_required_else_help = true)]
struct CommandLine {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Build the CLAP and VST3 bundles into target/bundled, with the starting points as preset files beside them
    Bundle,
    /// Build the bundles and copy them to this user's plug-in folders, and the VST3 presets to theirs
    Install,
    /// Remove what `install` put there
    Uninstall,
    /// Sing the demo song, render it five ways, write WAV files and report.html
    Demo(DemoArguments),
    /// Run a sound file through the built CLAP bundle, as a host does offline
    Render(RenderOptions),
    /// Play the labelled voices to the ears of the engine and tell how well it hears
    Score(ScoreOptions),
    /// Measure what must hold of the sound on every labelled voice, and print it on one page
    Properties(PropertiesOptions),
    /// Measure speed, memory and the distance to what the machine allows, beside what Siskin replaces
    Bench(BenchOptions),
    /// Take the sound of a version before from the sound of now, and tell what is left
    Null(NullOptions),
    /// Drive the bundles as random hosts do, or time blocks on a bad day
    Soak(SoakOptions),
    /// Hold the packages of others against deny.toml: licences, sources, versions
    Supply,
    /// Put the bundles into real audio programs, bounce, and compare with `render`
    Hosts(HostsOptions),
    /// Show the editor in a real window: take the pictures of the manual, or measure what the window costs
    Shots(ShotsOptions),
    /// Run every test, on the built bundles too
    Test(TestArguments),
    /// Check format, lints and documentation, then run every test
    Check(CheckArguments),
}

#[derive(Debug, Args)]
struct DemoArguments {
    /// Folder for the WAV files and report.html
    #[arg(long, value_name = "DIR", default_value = "target/demo")]
    out: PathBuf,
    /// Also write the table as JSON
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    /// Replace files that exist
    #[arg(long)]
    force: bool,
}

#[derive(Debug, Args)]
struct TestArguments {
    /// Install what only tests need: Debian packages, Python packages under target/venv, voices under target/corpus
    #[arg(long)]
    setup: bool,
}

#[derive(Debug, Args)]
struct CheckArguments {
    /// Leave the tests to another command
    #[arg(long)]
    without_tests: bool,
}

fn main() -> ExitCode {
    match run(CommandLine::parse().command) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run(command: Command) -> anyhow::Result<()> {
    match command {
        Command::Bundle => bundle::run(),
        Command::Install => install::install(),
        Command::Uninstall => install::uninstall(),
        Command::Demo(DemoArguments { out, json, force }) => demo::run(&DemoOptions { out, json, force }),
        Command::Render(options) => render::run(&options),
        Command::Score(options) => score::run(&options),
        Command::Properties(options) => properties::run(&options),
        Command::Bench(options) => bench::run(&options),
        Command::Null(options) => null::run(&options),
        Command::Soak(options) => soak::run(&options),
        Command::Supply => supply::run(),
        Command::Hosts(options) => hosts::run(&options),
        Command::Shots(options) => shots::run(&options),
        Command::Test(TestArguments { setup }) => test_command::run(setup),
        Command::Check(CheckArguments { without_tests }) => check::run(without_tests),
    }
}
