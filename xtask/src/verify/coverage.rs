//! `cargo xtask soak --states --coverage`: how much of the code that loads states the mutated ones reach.
//!
//! A build of its own, whose code counts how often it runs, is loaded in place of the bundles by this program, started once
//! more: what was counted is written as a process ends. LLVM's tools, a component of rustup, read it.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use super::test::lay_bundles;
use crate::setup::process::{cargo, library_name, output, succeed};
use crate::setup::workspace::Workspace;

/// The code that reads states between the host's call and the parameters.
const LOADERS: [&str; 4] = [
    "plugin/src/formats/clap/state.rs",
    "plugin/src/formats/vst3/state.rs",
    "plugin/src/params/state.rs",
    "plugin/src/params/remembered.rs",
];

/// Builds the library that counts, and lays both bundles around it; their folder. Only the plug-ins' own crate counts.
fn bundles(workspace: &Workspace) -> Result<PathBuf> {
    let target = workspace.target.join("coverage");
    let mut build = cargo(workspace);
    build
        .args(["rustc", "--package", "siskin", "--lib", "--release", "--locked"])
        .args(["--", "-C", "instrument-coverage"])
        .env("CARGO_TARGET_DIR", &target);
    succeed(&mut build)?;
    let folder = target.join("bundled");
    lay_bundles(&target.join("release").join(library_name()), &folder)?;
    Ok(folder)
}

/// Loads mutated states for so many minutes, in a process of its own, and prints the coverage file by file.
pub fn run(workspace: &Workspace, minutes: f64) -> Result<()> {
    let (profdata, cov) = (tool("llvm-profdata")?, tool("llvm-cov")?);
    let folder = bundles(workspace)?;
    let counts = tempfile::tempdir()?;
    let mut states = Command::new(std::env::current_exe().context("this program cannot find itself")?);
    states
        .args(["soak", "--states", "--minutes", &minutes.to_string(), "--bundles"])
        .arg(&folder)
        // One file for each library.
        .env("LLVM_PROFILE_FILE", counts.path().join("%m.profraw"));
    succeed(&mut states)?;
    let merged = counts.path().join("merged");
    let raw = fs::read_dir(counts.path())?.flatten().map(|entry| entry.path());
    let mut merge = Command::new(profdata);
    succeed(merge.arg("merge").args(raw).arg("-o").arg(&merged))?;
    let mut report = Command::new(cov);
    report
        .arg("report")
        .arg(folder.join("Siskin.clap"))
        .arg("--instr-profile")
        .arg(&merged)
        .arg("--sources")
        .args(LOADERS.map(|file| workspace.root.join(file)));
    println!("{}", output(&mut report)?);
    Ok(())
}

/// A tool of LLVM, of the compiler's own version.
fn tool(name: &str) -> Result<PathBuf> {
    let libraries = output(Command::new("rustc").args(["--print", "target-libdir"]))?;
    let tool = Path::new(libraries.trim()).with_file_name("bin").join(name);
    if !tool.exists() {
        bail!("{name} is missing: rustup component add llvm-tools");
    }
    Ok(tool)
}
