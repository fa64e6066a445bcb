//! The program `siskin`: renders and surveys sound files through the CLAP bundle that lies beside it. It needs no compiler
//! and no audio program.

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, Result, ensure};
use clap::{Parser, Subcommand};
use siskin_program::render::{self, RenderOptions};
use siskin_program::report::survey::{self, SurveyOptions};

/// The bundle beside the program: a file, on macOS a folder.
const BUNDLE: &str = "Siskin.clap";

/// Renders and surveys sound files with Siskin.
#[derive(Debug, Parser)]
#[command(name = "siskin", version, arg_required_else_help = true)]
struct CommandLine {
    /// The plug-in to load; the Siskin.clap beside this program where none is given
    #[arg(long, global = true, value_name = "Siskin.clap")]
    bundle: Option<PathBuf>,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Run a sound file through the plug-in, as an audio program does offline
    Render(RenderOptions),
    /// Propose settings for the tracks of a song, render them, and write a page to listen to and to see what is left to do
    Survey(SurveyOptions),
}

fn main() -> ExitCode {
    let CommandLine { bundle, command } = CommandLine::parse();
    let find = || find(bundle);
    let done = match command {
        Command::Render(options) => render::run(&options, find),
        Command::Survey(options) => survey::run(&options, find),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

/// The bundle that a person gave, or the one beside this program, wherever a link to it lies.
fn find(given: Option<PathBuf>) -> Result<PathBuf> {
    if let Some(path) = given {
        ensure!(path.exists(), "{} does not exist", path.display());
        return Ok(path);
    }
    let program = std::env::current_exe().and_then(|program| program.canonicalize());
    let path = program
        .context("this program cannot find itself")?
        .with_file_name(BUNDLE);
    ensure!(
        path.exists(),
        "{} does not exist; leave the program in the folder of its package, or give --bundle",
        path.display()
    );
    Ok(path)
}
