//! `cargo xtask bundle`.

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};

use super::{notices, packages, presets};
use crate::setup::files;
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
        Self::in_folder(&workspace.bundles())
    }

    /// Those that lie, or will, in `folder`.
    pub fn in_folder(folder: &Path) -> Self {
        Self {
            clap: folder.join("Siskin.clap"),
            vst3: folder.join("Siskin.vst3"),
            presets: folder.join("presets"),
            notices: folder.join("THIRD_PARTY_NOTICES.txt"),
        }
    }

    /// Writes what belongs beside the bundles: the starting points, and the notices for the `targets` (none: this machine).
    pub fn complete(&self, workspace: &Workspace, targets: &[&str]) -> Result<()> {
        presets::write(&self.clap, &self.presets)?;
        notices::write(
            &packages::linked(workspace, &[packages::PLUG_INS], targets)?,
            &self.notices,
        )
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
    let bundles = Bundles::of(&workspace);
    let built = build_here(&workspace, &bundles);
    std::env::set_current_dir(from).context("the current folder is gone")?;
    built?;

    for bundle in [&bundles.clap, &bundles.vst3] {
        ensure!(bundle.exists(), "the bundler did not write {}", bundle.display());
    }
    Ok(bundles)
}

fn build_here(workspace: &Workspace, bundles: &Bundles) -> Result<()> {
    let _lock = lock(workspace)?;
    let arguments = ["--release".to_owned(), "--lib".to_owned()];
    nice_plug_xtask::build(&[PACKAGE.to_owned()], &arguments)?;
    if !is_current(workspace, bundles) {
        // Removed instead of written into: whoever has one loaded keeps what it loaded.
        for bundle in [&bundles.clap, &bundles.vst3] {
            files::remove(bundle)?;
        }
        nice_plug_xtask::bundle(&workspace.target, PACKAGE, &arguments, false)?;
    }
    bundles.complete(workspace, &[])
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
fn is_current(workspace: &Workspace, bundles: &Bundles) -> bool {
    let built = fs::read(workspace.target.join("release").join(library_name()));
    let bundled = fs::read(&bundles.clap);
    let alike = matches!((built, bundled), (Ok(built), Ok(bundled)) if built == bundled);
    alike && bundles.vst3.exists()
}
