//! Where things are.

use std::path::PathBuf;

use anyhow::{Context, Result};
use cargo_metadata::MetadataCommand;

/// The folders of this workspace.
#[derive(Debug, Clone)]
pub struct Workspace {
    /// The folder of the workspace's `Cargo.toml`.
    pub root: PathBuf,
    /// Cargo's target folder, wherever the environment or a configuration puts it.
    pub target: PathBuf,
}

impl Workspace {
    /// Asks cargo, starting from the folder that holds this crate.
    pub fn locate() -> Result<Self> {
        let metadata = MetadataCommand::new()
            .manifest_path(concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml"))
            .no_deps()
            .exec()
            .context("cargo could not describe the workspace")?;
        Ok(Self {
            root: metadata.workspace_root.into(),
            target: metadata.target_directory.into(),
        })
    }

    /// The folder of the finished bundles.
    pub fn bundles(&self) -> PathBuf {
        self.target.join("bundled")
    }
}
