//! `cargo xtask bundle`.

use std::path::PathBuf;

use anyhow::{Context, Result, ensure};

use crate::workspace::Workspace;

/// The crate of the plug-ins; `bundler.toml` gives the bundles their name.
const PACKAGE: &str = "siskin";

/// The finished bundles. Each holds both plug-ins: Siskin and Siskin Follow.
#[derive(Debug, Clone)]
pub struct Bundles {
    /// A file on Linux and Windows, a folder on macOS.
    pub clap: PathBuf,
    /// A folder.
    pub vst3: PathBuf,
}

impl Bundles {
    /// Where the bundles of `workspace` lie once they are built.
    #[must_use]
    pub fn of(workspace: &Workspace) -> Self {
        Self {
            clap: workspace.clap_bundle(),
            vst3: workspace.vst3_bundle(),
        }
    }
}

/// Builds the CLAP and VST3 bundles into the target folder's `bundled`.
pub fn run() -> Result<()> {
    build().map(|_bundles| ())
}

/// Builds the bundles in release mode, from any folder, and says where they lie. Fast where nothing changed.
pub fn build() -> Result<Bundles> {
    let workspace = Workspace::locate()?;
    // The bundler reads `bundler.toml` from here. Its own search for the root takes the outermost Cargo.toml, which is
    // another project's where this one is checked out inside it.
    let from = std::env::current_dir().context("the current folder is gone")?;
    std::env::set_current_dir(&workspace.root)
        .with_context(|| format!("cannot enter {}", workspace.root.display()))?;
    let built = build_here(&workspace);
    std::env::set_current_dir(from).context("the current folder is gone")?;
    built?;

    let bundles = Bundles::of(&workspace);
    for bundle in [&bundles.clap, &bundles.vst3] {
        ensure!(bundle.exists(), "the bundler did not write {}", bundle.display());
    }
    Ok(bundles)
}

fn build_here(workspace: &Workspace) -> Result<()> {
    let arguments = ["--release".to_owned(), "--lib".to_owned()];
    nice_plug_xtask::build(&[PACKAGE.to_owned()], &arguments)?;
    nice_plug_xtask::bundle(&workspace.target, PACKAGE, &arguments, false)
}
