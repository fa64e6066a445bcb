//! `cargo xtask check`: what the build server does.

use crate::test_command;

/// Checks format, lints and documentation, then runs every test.
pub fn run(setup: bool) -> anyhow::Result<()> {
    test_command::run(setup)
}
