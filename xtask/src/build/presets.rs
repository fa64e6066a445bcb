//! The starting points as files, beside the bundles: `presets/PLUG-IN/NAME.json` and `.vstpreset`.
//!
//! The built plug-in is asked for them as a host asks (CLAP's preset discovery), takes each, and saves its state. The JSON
//! file is that state, spread over lines; the VST3 preset holds it as it is saved.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
pub use siskin_program::presets::VST3_PRESET;
use siskin_program::presets::preset_files;
use siskin_tests::hosts::clap::{Bundle, Preset};

use crate::setup;

/// A file and what is to be in it.
struct Page {
    path: PathBuf,
    content: Vec<u8>,
}

/// Writes the starting points of the bundle at `clap` into `folder`, in place of whatever is there. What stands already
/// is left alone.
pub fn write(clap: &Path, folder: &Path) -> Result<()> {
    let bundle = Bundle::load(clap)?;
    let presets = bundle.presets()?;
    ensure!(
        !presets.is_empty(),
        "{} brings no starting points",
        clap.display()
    );
    let mut pages = Vec::new();
    for preset in &presets {
        pages.extend(pages_of(&bundle, preset, folder)?);
    }
    let stands = |page: &Page| fs::read(&page.path).is_ok_and(|content| content == page.content);
    if pages.iter().all(stands) && files(folder).len() == pages.len() {
        return Ok(());
    }
    setup::files::remove(folder)?;
    pages
        .iter()
        .try_for_each(|page| setup::files::write(&page.path, &page.content))
}

/// The files in the folders of `folder`, one folder a plug-in, sorted.
pub fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = |folder: &Path| fs::read_dir(folder).into_iter().flatten().flatten();
    let mut files: Vec<PathBuf> = entries(folder)
        .flat_map(|plug_in| entries(&plug_in.path()))
        .map(|file| file.path())
        .collect();
    files.sort();
    files
}

fn pages_of(bundle: &Bundle, preset: &Preset, folder: &Path) -> Result<[Page; 2]> {
    let plug_in = preset
        .plug_in(bundle)
        .with_context(|| format!("the starting point {} is for no plug-in", preset.name))?;
    let mut insert = bundle.plugin(&plug_in)?;
    insert.load_preset(&preset.word)?;
    let path = |ending: &str| folder.join(&plug_in).join(format!("{}.{ending}", preset.name));
    let files = preset_files(&plug_in, &insert.save_state()?)?;
    Ok(files.map(|(ending, content)| Page {
        path: path(ending),
        content,
    }))
}
