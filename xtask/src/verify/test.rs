//! `cargo xtask test`: every test, on the built bundles too, and the packages of others.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};
use siskin_tests::hosts::vst3::library_in;

use super::{supply, windows};
use crate::build::bundle;
use crate::setup::process::{NO_DISPLAY, cargo, library_name, succeed};
use crate::setup::workspace::Workspace;
use crate::setup::{corpus, debian, files, python};

/// Runs every test; with `setup`, first installs what only tests need.
pub fn run(setup: bool) -> Result<()> {
    let workspace = Workspace::locate()?;
    if setup {
        debian::install(&debian::missing(debian::FOR_TESTS), "the tests")?;
        python::TESTS.install(&workspace)?;
        corpus::install(&workspace)?;
        windows::install(&workspace)?;
    }
    let python = python::TESTS.interpreter(&workspace)?;
    let corpus = corpus::require(&workspace)?;
    supply::run()?;
    let bundles = bundle::build()?;
    let guarded_library = build_guarded_library(&workspace)?;
    // The tests learn from these where the pieces lie, and fail without them.
    let mut tests = cargo(&workspace);
    tests
        .args(["test", "--workspace", "--no-fail-fast"])
        .env("DISPLAY", NO_DISPLAY)
        .env("SISKIN_BUNDLE_DIR", workspace.bundles())
        .env("SISKIN_GUARDED_LIBRARY", &guarded_library)
        .env("SISKIN_PYTHON", python)
        .env("SISKIN_CORPUS", corpus)
        .env(
            "SISKIN_XTASK",
            std::env::current_exe().context("this program cannot find itself")?,
        );
    succeed(&mut tests)?;
    under_guard(&workspace, &guarded_library)?;
    windows::run(&workspace, &bundles.clap)
}

/// The tests of hosts that run once more where an allocation while sound is processed ends the program.
const GUARDED_TESTS: [&str; 7] = [
    "conform",
    "host_clap",
    "conform_clap",
    "conform_mistakes",
    "conform_vst3",
    "soak",
    "state_keeping",
];

/// Puts the guarded library where tests look for the bundles, and runs those tests of hosts.
fn under_guard(workspace: &Workspace, library: &Path) -> Result<()> {
    let folder = library
        .parent()
        .context("the guarded library lies in no folder")?;
    lay_bundles(library, folder)?;
    println!(
        "once more, where an allocation ends the program: {}",
        GUARDED_TESTS.join(", ")
    );
    let mut tests = cargo(workspace);
    // Of the whole workspace, as before: for one package alone dependencies have other features and are built anew.
    tests.args(["test", "--workspace", "--no-fail-fast"]);
    for test in GUARDED_TESTS {
        tests.args(["--test", test]);
    }
    // Those two say nothing new here.
    tests.args(["--", "--skip", "no_memory_is_touched", "--skip", "no_block_takes"]);
    succeed(tests.env("SISKIN_BUNDLE_DIR", folder))
}

/// Builds the plug-ins so that an allocation while they process ends the program. The tests build the same crate
/// without that, to the same place: the library is put aside. Of the whole workspace, whose dependencies the tests need too:
/// for one package alone they would have other features and be built anew.
fn build_guarded_library(workspace: &Workspace) -> Result<PathBuf> {
    succeed(cargo(workspace).args(["build", "--workspace", "--lib", "--features", "siskin/guard"]))?;
    let name = library_name();
    let folder = workspace.target.join("guarded");
    let library = folder.join(&name);
    files::copy(&workspace.target.join("debug").join(&name), &library)?;
    Ok(library)
}

/// Copies `library` into `folder` as both bundles, where tests look for them.
pub fn lay_bundles(library: &Path, folder: &Path) -> Result<()> {
    files::copy(library, &folder.join("Siskin.clap"))?;
    files::copy(library, &library_in(&folder.join("Siskin.vst3")))
}
