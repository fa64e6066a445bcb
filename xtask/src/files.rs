//! Files that a command writes beside what it prints.

use std::path::Path;

use anyhow::{Context, Result, ensure};
use siskin_tests::measurement::voices::audio_file;

/// Refuses before any work is done, so that nothing is lost and nobody waits in vain.
///
/// # Errors
///
/// A file that exists already (without `force`), a folder that does not.
pub fn refuse_in_vain(path: &Path, force: bool) -> Result<()> {
    audio_file::refuse_existing(path, force)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    ensure!(
        folder == Path::new("") || folder.is_dir(),
        "the folder {} does not exist; make it first",
        folder.display()
    );
    Ok(())
}

/// Writes a text and says so.
///
/// # Errors
///
/// A file that cannot be written.
pub fn write_text(path: &Path, text: &str) -> Result<()> {
    std::fs::write(path, text).with_context(|| format!("cannot write {}", path.display()))?;
    println!("wrote {}", path.display());
    Ok(())
}
