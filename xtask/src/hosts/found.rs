//! Commands that a person could type.

use std::env;

/// Whether a folder of `PATH` holds a file of that name.
#[must_use]
pub fn on_path(command: &str) -> bool {
    let folders = env::var_os("PATH").unwrap_or_default();
    env::split_paths(&folders).any(|folder| folder.join(command).is_file())
}
