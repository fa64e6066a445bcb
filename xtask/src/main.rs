//! The commands of this workspace: `cargo xtask <command>`.

mod build;
mod measure;
mod report;
mod setup;
mod verify;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Args, Parser, Subcommand};

use build::{bundle, install, package};
use measure::{bench, hard_voices, properties, render, score};
use report::{demo, parameters, shots, survey};
use setup::process::again_in_release;
use setup::workspace::Workspace;
use verify::{check, hosts, null, soak, supply, test};

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
    /// Build an archive for each system into target/packages, to be installed without a compiler
    Package(package::PackageOptions),
    /// Sing the demo song, render it five ways, write WAV files and report.html
    Demo(demo::DemoOptions),
    /// Run a sound file through the built CLAP bundle, as a host does offline
    Render(render::RenderOptions),
    /// Propose settings for the tracks of a song, render them, and write a page to listen to and to see what is left to do
    Survey(survey::SurveyOptions),
    /// Run the labelled voices through the engine and print the accuracy of its detector
    Score(score::ScoreOptions),
    /// Measure what must hold of the sound on every labelled voice
    Properties(properties::PropertiesOptions),
    /// Put levelled voices under hard conditions, and hold them against the rule and against known labels
    HardVoices(hard_voices::HardVoicesOptions),
    /// Measure speed, memory and instructions, beside what Siskin replaces
    Bench(bench::BenchOptions),
    /// Subtract the sound of an earlier version from the present one and print what is left
    Null(null::NullOptions),
    /// Drive the bundles as random hosts do, or measure the time of blocks under hostile sound
    Soak(soak::SoakOptions),
    /// Check the packages of others against deny.toml: licences, sources, versions
    Supply,
    /// Put the bundles into real audio programs, bounce, and compare with `render`
    Hosts(hosts::HostsOptions),
    /// Print the table of parameters as Markdown, as README has it
    Parameters,
    /// Show the editor in a real window: take the pictures of the manual, or measure what the window costs
    Shots(shots::ShotsOptions),
    /// Check the packages of others and run every test, on the built bundles too
    Test(TestArguments),
    /// Check format, lints and documentation, then run every test
    Check(CheckArguments),
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

impl Command {
    /// Whether it computes for minutes, or measures time. Everything else runs in the profile of the tests, so that its
    /// dependencies are compiled once for both.
    fn wants_release(&self) -> bool {
        matches!(
            self,
            Self::Score(_)
                | Self::Properties(_)
                | Self::HardVoices(_)
                | Self::Bench(_)
                | Self::Null(_)
                | Self::Soak(_)
        )
    }
}

fn main() -> ExitCode {
    match run(CommandLine::parse().command) {
        Ok(true) => ExitCode::SUCCESS,
        // The command that was run again in the release profile has said why.
        Ok(false) => ExitCode::FAILURE,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run(command: Command) -> anyhow::Result<bool> {
    if cfg!(debug_assertions) && command.wants_release() {
        return again_in_release(&Workspace::locate()?);
    }
    execute(command).map(|()| true)
}

fn execute(command: Command) -> anyhow::Result<()> {
    match command {
        Command::Bundle => bundle::run(),
        Command::Install => install::install(),
        Command::Uninstall => install::uninstall(),
        Command::Package(options) => package::run(&options),
        Command::Demo(options) => demo::run(&options),
        Command::Render(options) => render::run(&options, built_bundle),
        Command::Survey(options) => survey::run(&options, built_bundle),
        Command::Score(options) => score::run(&options),
        Command::Properties(options) => properties::run(&options),
        Command::HardVoices(options) => hard_voices::run(&options),
        Command::Bench(options) => bench::run(&options),
        Command::Null(options) => null::run(&options),
        Command::Soak(options) => soak::run(&options),
        Command::Supply => supply::run(),
        Command::Hosts(options) => hosts::run(&options),
        Command::Parameters => {
            parameters::run();
            Ok(())
        }
        Command::Shots(options) => shots::run(&options),
        Command::Test(TestArguments { setup }) => test::run(setup),
        Command::Check(CheckArguments { without_tests }) => check::run(without_tests),
    }
}

/// The CLAP bundle, built where it is not up to date.
fn built_bundle() -> anyhow::Result<PathBuf> {
    Ok(bundle::build()?.clap)
}
