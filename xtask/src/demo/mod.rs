//! `cargo xtask demo`.

use std::path::PathBuf;

/// What a person asks of the demo.
#[derive(Debug, Clone)]
pub struct DemoOptions {
    /// Folder for the WAV files and the report.
    pub out: PathBuf,
    /// Where the table goes as JSON, if anywhere.
    pub json: Option<PathBuf>,
    /// Whether files that exist may be replaced.
    pub force: bool,
}

/// Sings the demo song, renders it five ways and writes what came of it.
pub fn run(options: &DemoOptions) -> anyhow::Result<()> {
    let DemoOptions { out, json, force } = options;
    anyhow::bail!("nothing to show yet in {out:?}, {json:?}, {force}")
}
