//! `cargo xtask shots`: pictures of the editor in a real window, or measurements of it.
//!
//! The pictures in `docs/shots` are those of the manual and the references of a test.

mod measure;

use std::path::{Path, PathBuf};
use std::rc::Rc;

use anyhow::{Context, Result};
use siskin_tests::hosts::clap::Bundle;
use siskin_tests::hosts::window::{Deficiency, Ended, Screen, Shot, on_server, shoot, shot_names, simulate};
use siskin_tests::measurement::voices::audio_file;

use crate::build::bundle;
use crate::report::progress;
use crate::setup::workspace::Workspace;

/// Folder of the reference pictures, in the workspace.
const REFERENCE_FOLDER: &str = "docs/shots";

/// Options of the command.
#[derive(Debug, Clone, clap::Args)]
pub struct ShotsOptions {
    /// Folder for the pictures; by default docs/shots
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Replace pictures that exist
    #[arg(long)]
    force: bool,
    /// Also write each picture with simulated colour blindness (needs --out)
    #[arg(long, requires = "out")]
    vision: bool,
    /// Take no pictures; measure opening time, processor time and leaks
    #[arg(long, conflicts_with_all = ["out", "force", "vision"])]
    measure: bool,
    /// Take no pictures; open and close the editor so often while sound runs, and say what that leaves
    #[arg(long, value_name = "COUNT", conflicts_with_all = ["out", "force", "vision", "measure"])]
    openings: Option<u64>,
}

/// Takes the pictures, or measures.
pub fn run(options: &ShotsOptions) -> Result<()> {
    let ended = on_server(|| {
        let workspace = Workspace::locate()?;
        let folder = options
            .out
            .clone()
            .unwrap_or_else(|| workspace.root.join(REFERENCE_FOLDER));
        let bundles = bundle::build()?;
        if options.measure {
            return measure::run(&bundles.clap);
        }
        if let Some(count) = options.openings {
            return measure::openings(&bundles.clap, count);
        }
        take(options, &bundles.clap, &folder)
    });
    match ended? {
        Ended::Here(outcome) => outcome,
        Ended::There { success: true } => Ok(()),
        // Its message is printed already.
        Ended::There { success: false } => std::process::exit(1),
    }
}

fn take(options: &ShotsOptions, clap: &Path, folder: &Path) -> Result<()> {
    std::fs::create_dir_all(folder)
        .with_context(|| format!("cannot make the folder {}", folder.display()))?;
    for name in shot_names() {
        audio_file::check_absent(&path(folder, &name), options.force)?;
    }
    let bundle = Bundle::load(clap)?;
    let screen = Rc::new(Screen::open()?);
    let bar = progress::counting(shot_names().count() as u64)?;
    let mut written = Ok(());
    let mut save = |shot: Shot| {
        bar.set_message(shot.name.clone());
        if written.is_ok() {
            written = write(options, folder, &shot);
        }
        bar.inc(1);
    };
    shoot(&screen, &|name| bundle.plugin(name), &mut save)?;
    written?;
    bar.finish_and_clear();
    println!(
        "wrote {} pictures into {}",
        shot_names().count(),
        folder.display()
    );
    Ok(())
}

fn path(folder: &Path, name: &str) -> PathBuf {
    folder.join(format!("{name}.png"))
}

fn write(options: &ShotsOptions, folder: &Path, shot: &Shot) -> Result<()> {
    shot.picture.write(&path(folder, &shot.name))?;
    if options.vision {
        for deficiency in Deficiency::ALL {
            let name = format!("{}-{}", shot.name, deficiency.word());
            simulate(&shot.picture, deficiency).write(&path(folder, &name))?;
        }
    }
    Ok(())
}
