//! `cargo xtask install` and `cargo xtask uninstall`.

/// Builds the bundles and copies them to this user's plug-in folders.
pub fn install() -> anyhow::Result<()> {
    anyhow::bail!("not built yet")
}

/// Removes the bundles from this user's plug-in folders.
pub fn uninstall() -> anyhow::Result<()> {
    anyhow::bail!("not built yet")
}
