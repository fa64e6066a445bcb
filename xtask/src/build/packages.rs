//! The packages of others that are linked into the plug-ins and into the program.

use std::collections::BTreeSet;
use std::path::PathBuf;

use anyhow::{Context, Result};
use cargo_metadata::MetadataCommand;

use crate::setup::process::{cargo, output};
use crate::setup::workspace::Workspace;

/// The package of the plug-ins.
pub const PLUG_INS: &str = "siskin";
/// What people get without a compiler: the plug-ins and the program.
pub const ALL: [&str; 2] = [PLUG_INS, "siskin-program"];

/// One version of a package.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Package {
    pub name: String,
    pub version: String,
    /// An SPDX expression.
    pub licence: Option<String>,
    /// As the package names them.
    pub authors: Vec<String>,
    /// The folder of its source.
    pub folder: PathBuf,
}

impl Package {
    pub fn name_and_version(&self) -> String {
        format!("{} {}", self.name, self.version)
    }
}

/// What these `packages` of the workspace depend on at run time, with their own features, without what only runs in the
/// compiler, on any of the `targets` (none: on this machine); by name.
pub fn linked(workspace: &Workspace, packages: &[&str], targets: &[&str]) -> Result<Vec<Package>> {
    let mut tree = cargo(workspace);
    tree.args(["tree", "--locked", "--edges", "normal,no-proc-macro"])
        .args(["--prefix", "none", "--format", "{p}"]);
    for package in packages {
        tree.args(["--package", package]);
    }
    for target in targets {
        tree.args(["--target", target]);
    }
    let listed = output(&mut tree)?;
    let names: BTreeSet<(&str, &str)> = listed.lines().filter_map(name_and_version).collect();
    let metadata = MetadataCommand::new()
        .manifest_path(workspace.root.join("Cargo.toml"))
        .other_options(["--locked".into()])
        .exec()
        .context("cargo could not describe the packages")?;
    let found = |(name, version): (&str, &str)| {
        let mut packages = metadata.packages.iter();
        let package = packages
            .find(|package| package.name.as_str() == name && package.version.to_string() == version)
            .with_context(|| format!("cargo does not describe {name} {version}"))?;
        let folder = package
            .manifest_path
            .parent()
            .context("a package without a folder")?;
        Ok(Package {
            name: name.to_owned(),
            version: version.to_owned(),
            licence: package.license.clone(),
            authors: package.authors.clone(),
            folder: folder.into(),
        })
    };
    names.into_iter().map(found).collect()
}

/// Reads "name v1.2.3 ..."; none for the packages of this workspace, which are followed by their folder.
fn name_and_version(line: &str) -> Option<(&str, &str)> {
    let mut words = line.split(' ');
    let (name, version) = (words.next()?, words.next()?.strip_prefix('v')?);
    let is_own = words.any(|word| word.starts_with('(') && word.contains(['/', '\\']));
    (!is_own).then_some((name, version))
}

/// For tests.
#[cfg(test)]
pub fn made_up(folder: &std::path::Path, licence: Option<&str>) -> Package {
    Package {
        name: "made-up".into(),
        version: "1.0.0".into(),
        licence: licence.map(str::to_owned),
        authors: Vec::new(),
        folder: folder.into(),
    }
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
