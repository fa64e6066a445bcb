//! What a command prints, and the files that it writes beside that.

use std::path::{Path, PathBuf};

use anyhow::{Result, ensure};
use clap::Args;
use siskin_tests::measurement::voices::audio_file;

use super::{Section, json, print};
use crate::setup::files;

/// Where a command writes its figures beside what it prints.
#[derive(Debug, Clone, Args)]
pub struct Output {
    /// Also write the figures as JSON
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    /// Replace files that exist
    #[arg(long)]
    pub force: bool,
}

impl Output {
    /// Checks before any work is done that its file and `others` can be written.
    pub fn check<'a>(&'a self, others: impl IntoIterator<Item = &'a PathBuf>) -> Result<()> {
        let mut paths = self.json.iter().chain(others);
        paths.try_for_each(|path| check_output_path(path, self.force))
    }

    /// Prints the sections, and writes them.
    pub fn report(&self, sections: &[Section]) -> Result<()> {
        print(sections);
        self.json
            .iter()
            .try_for_each(|path| write_text(path, &json(sections)))
    }
}

/// Checks that a file can be written: it does not exist, or `force` is given, and its folder does.
fn check_output_path(path: &Path, force: bool) -> Result<()> {
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
    files::write(path, text)?;
    println!("wrote {}", path.display());
    Ok(())
}
