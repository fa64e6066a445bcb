//! `cargo xtask check`: what the build server does.

use anyhow::Result;

use super::test;
use crate::setup::process::{cargo, succeed};
use crate::setup::workspace::Workspace;

/// Checks format, lints and documentation, then runs every test. What only tests need must be there.
pub fn run(without_tests: bool) -> Result<()> {
    let workspace = Workspace::locate()?;
    succeed(cargo(&workspace).args(["fmt", "--all", "--check"]))?;
    succeed(cargo(&workspace).args(["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"]))?;
    succeed(
        cargo(&workspace)
            .args(["doc", "--workspace", "--no-deps"])
            .env("RUSTDOCFLAGS", "-D warnings"),
    )?;
    if without_tests { Ok(()) } else { test::run(false) }
}
