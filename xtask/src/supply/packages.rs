//! The packages from other makers: those in the lock file, those that this platform builds, those that the plug-ins hold.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context, Result, ensure};
use cargo_metadata::MetadataCommand;
use serde::Deserialize;

use crate::test_command::{cargo, line};
use crate::workspace::Workspace;

/// One version of a package, as `Cargo.lock` holds it.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Locked {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// Where it comes from; none for this workspace's own.
    pub source: Option<String>,
    /// The checksum that a registry gives.
    pub checksum: Option<String>,
}

/// One version of a package whose source is at hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Package {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// Its licence as an SPDX expression.
    pub licence: Option<String>,
    /// Who made it, as it says itself.
    pub authors: Vec<String>,
    /// The folder of its source.
    pub folder: PathBuf,
}

#[derive(Deserialize)]
struct LockFile {
    package: Vec<Locked>,
}

/// Every package in `Cargo.lock`, this workspace's own left away where they have no source.
///
/// # Errors
///
/// A lock file that cannot be read.
pub fn locked(workspace: &Workspace) -> Result<Vec<Locked>> {
    let path = workspace.root.join("Cargo.lock");
    let text =
        std::fs::read_to_string(&path).with_context(|| format!("{} cannot be read", path.display()))?;
    let file: LockFile =
        toml::from_str(&text).with_context(|| format!("{} is no lock file", path.display()))?;
    Ok(file.package)
}

/// Every package from other makers that this platform builds, for the plug-ins, the tests or the commands.
///
/// # Errors
///
/// A cargo that cannot tell, and a lock file that is out of date.
pub fn built(workspace: &Workspace) -> Result<Vec<Package>> {
    let metadata = MetadataCommand::new()
        .manifest_path(workspace.root.join("Cargo.toml"))
        .other_options(["--locked".into(), "--filter-platform".into(), host_triple()?])
        .exec()
        .context("cargo could not describe the packages")?;
    let foreign = metadata
        .packages
        .iter()
        .filter(|package| package.source.is_some());
    Ok(foreign
        .map(|package| Package {
            name: package.name.to_string(),
            version: package.version.to_string(),
            licence: package.license.clone(),
            authors: package.authors.clone(),
            folder: package
                .manifest_path
                .parent()
                .map(|folder| folder.as_std_path().into())
                .unwrap_or_default(),
        })
        .collect())
}

/// Those of `built` that are linked into the plug-ins, in order of their names: what the library depends on at run time, with
/// its own features, without what only runs in the compiler.
///
/// # Errors
///
/// A cargo that cannot tell, or tells of a package that is not in `built`.
pub fn linked(workspace: &Workspace, built: &[Package]) -> Result<Vec<Package>> {
    let mut tree = cargo(workspace);
    tree.args([
        "tree",
        "--locked",
        "--package",
        "siskin",
        "--edges",
        "normal,no-proc-macro",
    ])
    .args(["--prefix", "none", "--format", "{p}"]);
    let listed = output(&mut tree)?;
    let names: BTreeSet<(&str, &str)> = listed.lines().filter_map(name_and_version).collect();
    let found = |(name, version): (&str, &str)| {
        let mut found = built
            .iter()
            .filter(|package| package.name == name && package.version == version);
        found
            .next()
            .cloned()
            .with_context(|| format!("cargo tells nothing of {name} {version}"))
    };
    names.into_iter().map(found).collect()
}

/// Reads "name v1.2.3 ..."; none for the packages of this workspace, which are followed by their folder.
fn name_and_version(line: &str) -> Option<(&str, &str)> {
    let mut words = line.split(' ');
    let (name, version) = (words.next()?, words.next()?.strip_prefix('v')?);
    let ours = words.any(|word| word.starts_with('(') && word.contains(['/', '\\']));
    (!ours).then_some((name, version))
}

/// The platform that cargo builds for where nothing else is asked.
fn host_triple() -> Result<String> {
    let told = output(Command::new("rustc").arg("-vV"))?;
    let host = told.lines().find_map(|line| line.strip_prefix("host: "));
    Ok(host.context("rustc does not tell its platform")?.to_owned())
}

fn output(command: &mut Command) -> Result<String> {
    let line = line(command);
    let ran = command
        .output()
        .with_context(|| format!("this cannot be started: {line}"))?;
    ensure!(
        ran.status.success(),
        "this failed: {line}: {}",
        String::from_utf8_lossy(&ran.stderr).trim()
    );
    String::from_utf8(ran.stdout).context("cargo did not answer with text")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_of_the_tree_are_read() {
        assert_eq!(name_and_version("egui v0.37.0"), Some(("egui", "0.37.0")));
        assert_eq!(name_and_version("egui v0.37.0 (*)"), Some(("egui", "0.37.0")));
        assert_eq!(name_and_version("siskin v0.1.0 (/somewhere/plugin)"), None);
        assert_eq!(name_and_version(""), None);
    }
}
