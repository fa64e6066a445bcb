//! `cargo xtask test`: every test, on the built bundles too.

/// Runs every test; with `setup`, first installs what only tests need.
pub fn run(setup: bool) -> anyhow::Result<()> {
    let bundle = crate::workspace::Workspace::locate()?.vst3_bundle();
    anyhow::bail!("no tests of {bundle:?} yet (setup: {setup})")
}
