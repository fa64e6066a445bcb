//! The version before: checked out and built under the target folder, out of the way of the version of now.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, bail};

use crate::setup::files;
use crate::setup::process::{cargo, library_name, succeed};
use crate::setup::workspace::Workspace;

/// The folder under the target folder in which versions before are kept.
const FOLDER: &str = "null";

/// The plug-ins' library of `revision`, which is built where that was not done before.
pub fn build(workspace: &Workspace, revision: &str) -> Result<PathBuf> {
    let commit = commit(workspace, revision)?;
    let folder = workspace.target.join(FOLDER);
    let kept = folder.join(format!("{commit}.clap"));
    if kept.exists() {
        return Ok(kept);
    }
    let checkout = folder.join("checkout");
    remove(workspace, &checkout);
    succeed(
        git(workspace)
            .args(["worktree", "add", "--quiet", "--detach"])
            .arg(&checkout)
            .arg(&commit),
    )?;
    println!("building {commit}");
    let built = build_library(workspace, &checkout, &folder.join("build"), &kept);
    remove(workspace, &checkout);
    built.map(|()| kept)
}

/// A commit's full name, so that what is kept is never another version's.
fn commit(workspace: &Workspace, revision: &str) -> Result<String> {
    let output = git(workspace)
        .args(["rev-parse", "--verify", "--quiet", "--end-of-options"])
        .arg(format!("{revision}^{{commit}}"))
        .output()
        .context("git cannot be started; give the version before by --bundle")?;
    if !output.status.success() {
        bail!("git knows no commit \"{revision}\"");
    }
    Ok(String::from_utf8_lossy(&output.stdout).trim().to_owned())
}

fn git(workspace: &Workspace) -> Command {
    let mut git = Command::new("git");
    git.current_dir(&workspace.root);
    git
}

/// Removes the checkout, where there is one.
fn remove(workspace: &Workspace, checkout: &Path) {
    // Without one git only says so.
    let _ = git(workspace)
        .args(["worktree", "remove", "--force"])
        .arg(checkout)
        .output();
}

fn build_library(workspace: &Workspace, checkout: &Path, target: &Path, kept: &Path) -> Result<()> {
    succeed(
        cargo(workspace)
            .current_dir(checkout)
            .args(["build", "--release", "--package", "siskin", "--lib"])
            .env("CARGO_TARGET_DIR", target),
    )?;
    let library = target.join("release").join(library_name());
    files::copy(&library, kept)
}
