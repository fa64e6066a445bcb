//! `cargo xtask render`: a sound file through the built CLAP bundle, as a host does offline.

use std::path::PathBuf;

use clap::Args;

/// What a person asks of a rendering.
#[derive(Debug, Clone, Args)]
pub struct RenderOptions {
    /// The sound file: WAV, FLAC or AIFF, mono or stereo
    #[arg(value_name = "IN.wav")]
    pub input: PathBuf,
}

/// Renders one file.
pub fn run(options: &RenderOptions) -> anyhow::Result<()> {
    let bundle = crate::workspace::Workspace::locate()?.clap_bundle();
    anyhow::bail!("cannot render {options:?} through {bundle:?} yet")
}
