//! `cargo xtask check`: what the build server does.

use anyhow::Result;

use crate::supply;
use crate::test_command::{self, cargo, succeed};
use crate::workspace::Workspace;

/// Checks format, lints, documentation and what others wrote, then runs every test. What only tests need must be there.
pub fn run(without_tests: bool) -> Result<()> {
    let workspace = Workspace::locate()?;
    succeed(cargo(&workspace).args(["fmt", "--all", "--check"]))?;
    succeed(cargo(&workspace).args(["clippy", "--workspace", "--all-targets", "--", "-D", "warnings"]))?;
    succeed(
        cargo(&workspace)
            .args(["doc", "--workspace", "--no-deps"])
            .env("RUSTDOCFLAGS", "-D warnings"),
    )?;
    supply::run()?;
    if without_tests {
        Ok(())
    } else {
        test_command::run(false)
    }
}
