//! A rendering by the plug-ins and the program of Windows: a part of the tests where Wine and mingw-w64 are.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};

use crate::build::package::{Rendering, System, Wine, tools};
use crate::setup::debian;
use crate::setup::process::{cargo, succeed};
use crate::setup::workspace::Workspace;

const SYSTEM: System = System::Windows;

/// Installs what it needs, where `rustup` is there to install Rust's part of it.
pub fn install(workspace: &Workspace) -> Result<()> {
    if debian::succeeds("rustup --version") {
        tools::provide(workspace, &[SYSTEM], true, true)?;
    }
    Ok(())
}

/// Has the program of Windows render by the plug-in of Windows, and holds the result to that of the CLAP bundle `native` of
/// this machine. Where something is missing that this needs, it says so.
pub fn run(workspace: &Workspace, native: &Path) -> Result<()> {
    if let Err(missing) = tools::provide(workspace, &[SYSTEM], false, true) {
        println!("Windows is not tried:\n{missing}");
        return Ok(());
    }
    build(workspace)?;
    let built = workspace.target.join(SYSTEM.triples()[0]).join("debug");
    let package = tempfile::tempdir()?;
    let program = package.path().join(SYSTEM.program_name());
    for (from, to) in [
        (SYSTEM.program_name(), &program),
        (SYSTEM.library_name(), &package.path().join("Siskin.clap")),
    ] {
        fs::copy(built.join(from), to).with_context(|| format!("{from} was not built"))?;
    }
    let rendering = Rendering::prepare(native)?;
    let wine = Wine::prepare(workspace, None)?;
    let left_db = rendering.compare(wine.command(&program.display().to_string()))?;
    println!("Windows: {left_db:.0} dB are left of the difference to this machine's rendering");
    Ok(())
}

/// Builds both without optimisation: three minutes of processor time.
fn build(workspace: &Workspace) -> Result<()> {
    let mut build = cargo(workspace);
    build
        .args(["build", "--target", SYSTEM.triples()[0]])
        .args(["--package", "siskin", "--package", "siskin-program"])
        .args(["--lib", "--bin", "siskin"])
        .env("CARGO_PROFILE_DEV_OPT_LEVEL", "0")
        .env("CARGO_PROFILE_DEV_DEBUG", "0");
    succeed(&mut build)
}
