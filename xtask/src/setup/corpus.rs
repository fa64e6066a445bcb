//! The voices that tests and scores listen to: fetched by name and version from the registries, synthesised and
//! aligned by the scripts in `tests/python/corpus` and `tests/python/breaths`, kept under `target/corpus`. The
//! repository holds no sound.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use super::files::{self, read_text};
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

/// Sounds with labels that one script makes.
struct Set {
    /// Where they lie.
    folder: PathBuf,
    /// Where their script lies, `prepare.py`, and what it reads.
    scripts: PathBuf,
}

/// The labelled voices, and the real breaths beside them.
fn sets(workspace: &Workspace) -> [Set; 2] {
    let scripts = workspace.root.join("tests/python");
    [
        Set {
            folder: folder(workspace),
            scripts: scripts.join("corpus"),
        },
        Set {
            folder: folder(workspace).join("breaths"),
            scripts: scripts.join("breaths"),
        },
    ]
}

/// The folder of the corpus, if it is what today's scripts make.
pub fn require(workspace: &Workspace) -> Result<PathBuf> {
    for set in sets(workspace) {
        if !set.is_complete(workspace)? {
            bail!("the voices under target/corpus are missing or out of date; run: cargo xtask test --setup");
        }
    }
    Ok(folder(workspace))
}

/// Makes the corpus where that has not been done; needs the environment of [`python`].
pub fn install(workspace: &Workspace) -> Result<()> {
    for set in sets(workspace) {
        if !set.is_complete(workspace)? {
            let mut prepare = Command::new(python::TESTS.interpreter(workspace)?);
            prepare.arg(set.scripts.join("prepare.py")).arg(&set.folder);
            println!("{}", line(&prepare));
            succeed(&mut prepare)?;
            files::write(&set.folder.join(STAMP), set.stamp_content(workspace)?)?;
        }
    }
    Ok(())
}

impl Set {
    fn is_complete(&self, workspace: &Workspace) -> Result<bool> {
        if !self.folder.join("manifest.json").exists() {
            return Ok(false);
        }
        let stamp = fs::read_to_string(self.folder.join(STAMP)).unwrap_or_default();
        Ok(stamp == self.stamp_content(workspace)?)
    }

    /// Everything that says what the sounds and labels are.
    fn stamp_content(&self, workspace: &Workspace) -> Result<String> {
        let mut files = files_of(&self.scripts, "py")?;
        let labels = self.scripts.join("labels");
        if labels.exists() {
            files.extend(files_of(&labels, "tsv")?);
        }
        files.push(python::requirements_file(workspace));
        files.push(self.folder.join("manifest.json"));
        files.iter().map(|file| read_text(file)).collect()
    }
}

/// The files of a folder with this extension, by name.
fn files_of(folder: &Path, wanted: &str) -> Result<Vec<PathBuf>> {
    let context = || format!("{} cannot be read", folder.display());
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).with_context(context)? {
        let path = entry.with_context(context)?.path();
        if path.extension().is_some_and(|extension| extension == wanted) {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}
