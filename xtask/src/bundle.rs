//! `cargo xtask bundle`.

/// Builds the CLAP and VST3 bundles into the target folder's `bundled`.
pub fn run() -> anyhow::Result<()> {
    anyhow::bail!("not built yet")
}
