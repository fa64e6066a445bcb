//! `cargo xtask bundle`.

use std::fs::{self, File};
use std::io::ErrorKind;
use std::path::PathBuf;

use anyhow::{Context, Result, ensure};

use super::{notices, packages, presets};
use crate::setup::process::library_name;
use crate::setup::workspace::Workspace;

/// The crate of the plug-ins; `bundler.toml` gives the bundles their name.
const PACKAGE: &str = "siskin";

/// The finished bundles. Each holds both plug-ins: Siskin and Siskin Follow.
#[derive(Debug, Clone)]
pub struct Bundles {
    /// A file on Linux and Windows, a folder on macOS.
    pub clap: PathBuf,
    /// A folder.
    pub vst3: PathBuf,
    /// A folder with a folder for each plug-in: its starting points, as files.
    pub presets: PathBuf,
    /// Who else wrote what the bundles hold, and the licences.
    pub notices: PathBuf,
}

impl Bundles {
    /// Where the bundles of `workspace` are once they are built.
    pub fn of(workspace: &Workspace) -> Self {
        Self {
            clap: workspace.clap_bundle(),
            vst3: workspace.vst3_bundle(),
            presets: workspace.presets(),
            notices: workspace.notices(),
        }
    }
}

/// Builds the CLAP and VST3 bundles, and the starting points as files, into the target folder's `bundled`, and the notices.
pub fn run() -> Result<()> {
    let bundles = build()?;
    for path in [&bundles.clap, &bundles.vst3, &bundles.presets, &bundles.notices] {
        println!("{}", path.display());
    }
    Ok(())
}

/// Builds the bundles in release mode, from any folder, and returns where they are. Fast where nothing changed.
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
    let _lock = lock(workspace)?;
    let arguments = ["--release".to_owned(), "--lib".to_owned()];
    nice_plug_xtask::build(&[PACKAGE.to_owned()], &arguments)?;
    if !is_current(workspace) {
        clear(workspace)?;
        nice_plug_xtask::bundle(&workspace.target, PACKAGE, &arguments, false)?;
    }
    notices::write(
        &packages::linked(workspace, &[packages::PLUG_INS], &[])?,
        &workspace.notices(),
    )?;
    presets::write(&workspace.clap_bundle(), &workspace.presets())
}

/// Waits until no other command of this workspace bundles; until the file is dropped, none will.
fn lock(workspace: &Workspace) -> Result<File> {
    let path = workspace.target.join("bundled.lock");
    let file = File::create(&path).with_context(|| format!("cannot write {}", path.display()))?;
    file.lock()
        .with_context(|| format!("cannot lock {}", path.display()))?;
    Ok(file)
}

/// True where the bundles are those of the library just built: a plug-in that another command has loaded is then left
/// alone.
fn is_current(workspace: &Workspace) -> bool {
    let built = fs::read(workspace.target.join("release").join(library_name()));
    let bundled = fs::read(workspace.clap_bundle());
    let alike = matches!((built, bundled), (Ok(built), Ok(bundled)) if built == bundled);
    alike && workspace.vst3_bundle().exists()
}

/// Removes the old bundles instead of writing into them: whoever has one loaded keeps what it loaded.
fn clear(workspace: &Workspace) -> Result<()> {
    for bundle in [workspace.clap_bundle(), workspace.vst3_bundle()] {
        let removed = if bundle.is_dir() {
            fs::remove_dir_all(&bundle)
        } else {
            fs::remove_file(&bundle)
        };
        match removed {
            Err(error) if error.kind() != ErrorKind::NotFound => {
                return Err(error).with_context(|| format!("cannot replace {}", bundle.display()));
            }
            _ => {}
        }
    }
    Ok(())
}
