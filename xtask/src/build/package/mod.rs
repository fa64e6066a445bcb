//! `cargo xtask package`: for each system an archive that a person unpacks and installs without a compiler.
//!
//! Every archive holds both bundles, the program `siskin`, the starting points, the manual, licence, notices, the changes and an install
//! script. The texts, scripts and stubs that go in lie in `xtask/package`. The same sources and tools give the same bytes.

mod archive;
mod binary;
mod check;
mod compile;
mod contents;
mod layout;
mod mac_binary;
mod macos;
mod manual;
mod signature;
mod system;
pub mod tools;

use std::fs;
use std::path::PathBuf;

use anyhow::Result;
use clap::Args;
use sha2::{Digest, Sha256};

use super::bundle::{self, Bundles};
use crate::setup::files;
use crate::setup::workspace::Workspace;
pub use check::{Rendering, Wine};
pub use system::System;

/// What stands in the texts where the version belongs.
const VERSION_MARK: &str = "@VERSION@";
/// The version of the workspace.
const VERSION: &str = env!("CARGO_PKG_VERSION");
/// The list of the archives' sums, as `sha256sum --check` reads it.
const SUMS: &str = "SHA256SUMS";

/// What to package.
#[derive(Debug, Args)]
pub struct PackageOptions {
    /// Only for this system; may be given more than once
    #[arg(long)]
    target: Vec<System>,
    /// Install what the builds need (and `--check`, where it is given): Debian packages, Rust targets, zig under target/package-tools
    #[arg(long)]
    setup: bool,
    /// Unpack the archives that are there and run what can be run here from the unpacked files
    #[arg(long)]
    check: bool,
    /// With --check, as root: also run the Linux package in this root file system, of an older Debian with Xvfb, say
    #[arg(long, value_name = "FOLDER", requires = "check")]
    root: Option<PathBuf>,
}

/// Builds the archives, or checks those that were built.
pub fn run(options: &PackageOptions) -> Result<()> {
    let workspace = Workspace::locate()?;
    let systems = match options.target.as_slice() {
        [] => System::ALL.to_vec(),
        chosen => chosen.to_vec(),
    };
    tools::provide(&workspace, &systems, options.setup, options.check)?;
    if options.check {
        return check::run(&workspace, &systems, options.root.as_deref());
    }
    let native = bundle::build()?;
    for system in systems {
        let path = write_archive(&workspace, system, &native)?;
        println!("{}", path.display());
    }
    println!("{}", write_sums(&workspace)?.display());
    Ok(())
}

/// Where the archives lie.
fn folder(workspace: &Workspace) -> PathBuf {
    workspace.target.join("packages")
}

/// Builds the archive of `system`. The starting points are those that the bundle of this machine saves: they are the
/// same for every system.
fn write_archive(workspace: &Workspace, system: System, native: &Bundles) -> Result<PathBuf> {
    let binaries = compile::binaries(workspace, system)?;
    binary::check(system, &binaries.library)?;
    binary::check_program(system, &binaries.program)?;
    let items = contents::items(workspace, system, binaries, native)?;
    let archived = archive::pack(system, &items)?;
    let path = folder(workspace).join(system.archive_name());
    files::write(&path, archived)?;
    Ok(path)
}

/// Lists the sums of this version's archives, by name.
fn write_sums(workspace: &Workspace) -> Result<PathBuf> {
    let mut sums = String::new();
    for system in System::ALL {
        if let Ok(archived) = fs::read(folder(workspace).join(system.archive_name())) {
            sums += &sum_line(&archived, &system.archive_name());
        }
    }
    let path = folder(workspace).join(SUMS);
    files::write(&path, sums)?;
    Ok(path)
}

/// A line of [`SUMS`].
fn sum_line(archived: &[u8], name: &str) -> String {
    let sum: String = Sha256::digest(archived)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    format!("{sum}  {name}\n")
}

/// The bundles of this machine, built so that older systems load them, where what that needs is installed.
pub fn portable_bundles(workspace: &Workspace) -> Result<Option<Bundles>> {
    let Some(system) = System::here().filter(|system| tools::are_ready(workspace, *system)) else {
        return Ok(None);
    };
    let library = compile::library(workspace, system)?;
    let folder = workspace.target.join("portable");
    for item in layout::bundles(system, &library) {
        item.write_into(&folder)?;
    }
    let bundles = Bundles::in_folder(&folder);
    bundles.complete(workspace, system.triples())?;
    Ok(Some(bundles))
}
