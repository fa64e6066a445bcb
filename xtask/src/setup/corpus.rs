//! The voices that tests and scores listen to: fetched by name and version from the registries, synthesised and
//! aligned by the scripts in `tests/python/corpus`, kept under `target/corpus`. The repository holds no sound.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use super::process::{line, succeed};
use super::python;
use super::workspace::Workspace;

/// What `install` leaves when all is made: the scripts and the manifest as they were then. Where they have changed
/// since, the corpus is another one.
const STAMP: &str = "stamp";

/// Where the corpus lies, or will.
pub fn folder(workspace: &Workspace) -> PathBuf {
    workspace.target.join("corpus")
}

/// The folder of the corpus, if it is what today's scripts make.
pub fn require(workspace: &Workspace) -> Result<PathBuf> {
    if !is_complete(workspace)? {
        bail!("the voices under target/corpus are missing or out of date; run: cargo xtask test --setup");
    }
    Ok(folder(workspace))
}

/// Makes the corpus where that has not been done; needs the environment of [`python`].
pub fn install(workspace: &Workspace) -> Result<()> {
    if is_complete(workspace)? {
        return Ok(());
    }
    let mut prepare = Command::new(python::TESTS.interpreter(workspace)?);
    prepare
        .arg(scripts(workspace).join("prepare.py"))
        .arg(folder(workspace));
    println!("{}", line(&prepare));
    succeed(&mut prepare)?;
    let stamp = folder(workspace).join(STAMP);
    let content = stamp_content(workspace)?;
    fs::write(&stamp, content).with_context(|| format!("{} cannot be written", stamp.display()))
}

fn is_complete(workspace: &Workspace) -> Result<bool> {
    if !folder(workspace).join("manifest.json").exists() {
        return Ok(false);
    }
    let stamp = fs::read_to_string(folder(workspace).join(STAMP)).unwrap_or_default();
    Ok(stamp == stamp_content(workspace)?)
}

fn scripts(workspace: &Workspace) -> PathBuf {
    workspace.root.join("tests/python/corpus")
}

/// Everything that says what the corpus is.
fn stamp_content(workspace: &Workspace) -> Result<String> {
    let mut files = python_files(&scripts(workspace))?;
    files.push(python::requirements_file(workspace));
    files.push(folder(workspace).join("manifest.json"));
    files
        .iter()
        .map(|file| fs::read_to_string(file).with_context(|| format!("{} cannot be read", file.display())))
        .collect()
}

/// The scripts of a folder, by name.
fn python_files(folder: &Path) -> Result<Vec<PathBuf>> {
    let context = || format!("{} cannot be read", folder.display());
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).with_context(context)? {
        let path = entry.with_context(context)?.path();
        if path.extension().is_some_and(|extension| extension == "py") {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}
