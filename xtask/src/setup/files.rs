//! Files and folders; each error names the path.

use std::fs;
use std::io::ErrorKind;
use std::path::Path;

use anyhow::{Context, Result};

/// What is in a file.
pub fn read(path: &Path) -> Result<Vec<u8>> {
    fs::read(path).with_context(|| format!("cannot read {}", path.display()))
}

/// The text in a file.
pub fn read_text(path: &Path) -> Result<String> {
    fs::read_to_string(path).with_context(|| format!("cannot read {}", path.display()))
}

/// Writes a file, and makes the folder that it lies in.
pub fn write(path: &Path, content: impl AsRef<[u8]>) -> Result<()> {
    make_folder_of(path)
        .and_then(|()| fs::write(path, content))
        .with_context(|| format!("cannot write {}", path.display()))
}

/// Copies a file, or a folder with all that it holds, and makes the folder that the copy lies in.
pub fn copy(from: &Path, to: &Path) -> Result<()> {
    let failed = || format!("cannot copy {} to {}", from.display(), to.display());
    if !from.is_dir() {
        let copied = make_folder_of(to).and_then(|()| fs::copy(from, to));
        return copied.map(drop).with_context(failed);
    }
    fs::create_dir_all(to).with_context(failed)?;
    for entry in fs::read_dir(from).with_context(failed)? {
        let entry = entry.with_context(failed)?;
        copy(&entry.path(), &to.join(entry.file_name()))?;
    }
    Ok(())
}

/// Removes a file or a folder, if there is one.
pub fn remove(path: &Path) -> Result<()> {
    let removed = match path.symlink_metadata() {
        Ok(metadata) if metadata.is_dir() => fs::remove_dir_all(path),
        Ok(_) => fs::remove_file(path),
        Err(error) => Err(error),
    };
    match removed {
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(()),
        other => other.with_context(|| format!("cannot remove {}", path.display())),
    }
}

fn make_folder_of(path: &Path) -> std::io::Result<()> {
    path.parent().map_or(Ok(()), fs::create_dir_all)
}
