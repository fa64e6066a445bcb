//! `cargo xtask supply`: what others wrote and this workspace is made of, against the policy in `deny.toml`.
//!
//! `cargo deny check` reads the same file and knows more: published advisories, yanked versions, the crates of other
//! platforms. This check needs no network and runs with every `cargo xtask check`.

mod findings;
pub mod packages;
mod policy;

use anyhow::{Result, ensure};

use crate::workspace::Workspace;
use findings::Findings;
use packages::Package;
use policy::Policy;

/// Holds every package against the policy and prints what was looked at.
///
/// # Errors
///
/// Anything that the policy does not allow, after all of it was printed; a policy or a lock file that cannot be read.
pub fn run() -> Result<()> {
    let workspace = Workspace::locate()?;
    let policy = Policy::read(&workspace)?;
    let locked = packages::locked(&workspace)?;
    let built = packages::built(&workspace)?;
    let linked = packages::linked(&workspace, &built)?;
    let findings = Findings::of(&policy, &locked, &built, &linked);
    println!(
        "{} packages in Cargo.lock, {} of them built on this platform, {} linked into the plug-ins",
        locked.len(),
        built.len(),
        linked.len()
    );
    println!(
        "in more than one version: {}",
        findings::versions_of_duplicates(&locked).join(", ")
    );
    for line in &findings.lines {
        println!("{line}");
    }
    ensure!(
        findings.lines.is_empty(),
        "{} findings against deny.toml",
        findings.lines.len()
    );
    println!("licences, sources and versions are as deny.toml allows");
    Ok(())
}

/// The packages whose code is in the plug-ins, from other makers, by name.
///
/// # Errors
///
/// A cargo that cannot tell.
pub fn linked_packages(workspace: &Workspace) -> Result<Vec<Package>> {
    let built = packages::built(workspace)?;
    packages::linked(workspace, &built)
}
