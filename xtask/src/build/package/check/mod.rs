//! `cargo xtask package --check`: what a person gets, unpacked and tried as far as this machine can.
//!
//! Every archive is held to its sum and unpacked into a folder whose name has spaces and letters beyond ASCII; its script
//! installs into an empty home and removes again without a trace; its libraries and its program are what they must be. Then the
//! program renders and the tests of hosts run on the unpacked bundles: on this machine's own processor as they are, for Windows
//! under Wine, for ARM under qemu, and each system's sound is compared with what this machine plays.

mod apple_symbols;
mod install_script;
mod rendering;
mod trials;
mod unpack;
mod wine;

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, ensure};

use super::system::System;
use super::{SUMS, binary, folder, layout, sum_line};
use crate::build::bundle;
use crate::setup::workspace::Workspace;
pub use rendering::Rendering;
use trials::Trials;
pub use wine::Wine;

/// What the folder of an unpacked package is called: a name that not every program can read.
const FOLDER: &str = "Gesang, 2. Stück (Größe ½)";

/// Checks the archives of `systems` that lie in the folder of packages; that of this machine's system also in the root file
/// system `root`.
pub fn run(workspace: &Workspace, systems: &[System], root: Option<&Path>) -> Result<()> {
    // Nothing for macOS runs here.
    let trials = if systems.iter().any(|system| *system != System::MacOs) {
        Some(Trials::prepare(workspace, bundle::build()?, root)?)
    } else {
        None
    };
    for system in systems {
        check_archive(workspace, *system, trials.as_ref())
            .with_context(|| format!("{} does not hold", system.archive_name()))?;
        println!("{}: checked", system.archive_name());
    }
    Ok(())
}

fn check_archive(workspace: &Workspace, system: System, trials: Option<&Trials>) -> Result<()> {
    let path = folder(workspace).join(system.archive_name());
    let archived = fs::read(&path)
        .with_context(|| format!("cannot read {}: run cargo xtask package first", path.display()))?;
    let sums = fs::read_to_string(folder(workspace).join(SUMS)).unwrap_or_default();
    let line = sum_line(&archived, &system.archive_name());
    ensure!(sums.contains(&line), "{SUMS} has another sum");

    let place = tempfile::Builder::new().prefix(FOLDER).tempdir()?;
    let unpacked = unpack::unpack(system, &archived, place.path())?;
    let library = fs::read(unpacked.join(layout::clap_library(system))).context("no CLAP bundle")?;
    let program = fs::read(unpacked.join(system.program_name())).context("no program")?;
    binary::check(system, &library)?;
    binary::check_program(system, &program)?;
    if system == System::MacOs {
        apple_symbols::check(workspace, &library)?;
        apple_symbols::check(workspace, &program)?;
    }
    for item in layout::bundles(system, &library) {
        let found =
            fs::read(unpacked.join(&item.path)).with_context(|| format!("{} is missing", item.path))?;
        ensure!(
            found == item.content,
            "{} is another file than it should be",
            item.path
        );
    }
    install_script::check(workspace, system, &unpacked)?;
    trials.map_or(Ok(()), |trials| trials.run(system, &unpacked))
}
