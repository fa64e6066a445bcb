//! Files that a command writes beside what it prints.

use std::path::Path;

use anyhow::{Context, Result, ensure};
use siskin_tests::measurement::voices::audio_file;

/// Checks before any work is done that a file can be written: it does not exist, or `force` is given, and its folder does.
pub fn check_output_path(path: &Path, force: bool) -> Result<()> {
    audio_file::check_absent(path, force)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    ensure!(
        folder == Path::new("") || folder.is_dir(),
        "the folder {} does not exist; make it first",
        folder.display()
    );
    Ok(())
}

/// Writes a text and says so.
pub fn write_text(path: &Path, text: &str) -> Result<()> {
    std::fs::write(path, text).with_context(|| format!("cannot write {}", path.display()))?;
    println!("wrote {}", path.display());
    Ok(())
}
