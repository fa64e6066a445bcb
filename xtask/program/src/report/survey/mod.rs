//! `survey`: the tracks of a song through the built bundle, with settings proposed for each, and a page to listen
//! to them and to see what is left to do by hand.

mod doubts;
mod listen;
mod page;
mod picture;
mod presets;
mod propose;
mod sibilants;
#[cfg(test)]
mod tests;
mod track;

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, ensure};
use clap::Args;
use siskin_host::audio_file;
use siskin_host::clap::Bundle;
use tempfile::Builder;

use crate::render::read_voice;
use crate::report::{print, progress};
use propose::Role;
use track::{Job, Lead, Surveyed};

/// The page, by which a folder is known as one that this command has written.
const REPORT: &str = "report.html";
/// Steps of a track that the progress bar counts: reading, listening, rendering, writing.
const STEPS: usize = 4;

/// What a person asks of a survey.
#[derive(Debug, Clone, Args)]
pub struct SurveyOptions {
    /// The lead, after its leveller: WAV, FLAC or AIFF, mono or stereo
    #[arg(value_name = "LEAD.wav")]
    lead: PathBuf,
    /// A double of the lead; may be given more than once
    #[arg(long, value_name = "FILE")]
    double: Vec<PathBuf>,
    /// Several voices on one track; may be given more than once
    #[arg(long, value_name = "FILE")]
    stack: Vec<PathBuf>,
    /// Breaths on a track of their own; may be given more than once
    #[arg(long, value_name = "FILE")]
    breaths: Vec<PathBuf>,
    /// The folder to write; LEAD-survey beside the lead where none is given
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Replace the folder of an earlier survey
    #[arg(long)]
    force: bool,
}

impl SurveyOptions {
    /// For a lead alone, into the folder `out`.
    pub fn of(lead: PathBuf, out: PathBuf) -> Self {
        Self {
            lead,
            double: Vec::new(),
            stack: Vec::new(),
            breaths: Vec::new(),
            out: Some(out),
            force: false,
        }
    }

    /// Every track with its role, the lead first.
    fn tracks(&self) -> Vec<(Role, &Path)> {
        let others = [
            (Role::Double, &self.double),
            (Role::Stack, &self.stack),
            (Role::Breaths, &self.breaths),
        ];
        let others = others
            .into_iter()
            .flat_map(|(role, paths)| paths.iter().map(move |path| (role, path.as_path())));
        std::iter::once((Role::Lead, self.lead.as_path()))
            .chain(others)
            .collect()
    }

    fn folder(&self) -> Result<PathBuf> {
        let stem = self.lead.file_stem();
        let stem = stem.with_context(|| format!("{} is not a file", self.lead.display()))?;
        let mut name = stem.to_owned();
        name.push("-survey");
        let beside = self.lead.parent().unwrap_or(Path::new("")).join(name);
        Ok(self.out.clone().unwrap_or(beside))
    }
}

/// Surveys the tracks into a folder, which appears whole or not at all. The CLAP bundle is asked for after what can be
/// refused without it.
pub fn run(options: &SurveyOptions, bundle: impl FnOnce() -> Result<PathBuf>) -> Result<()> {
    let folder = options.folder()?;
    check_folder(&folder, options.force)?;
    let tracks = options.tracks();
    for (_, path) in &tracks {
        audio_file::check_readable(path)?;
    }
    let bundle = Bundle::load(&bundle()?)?;
    let parent = match folder.parent() {
        Some(parent) if parent != Path::new("") => parent,
        _ => Path::new("."),
    };
    let failed = || format!("{} cannot be written", folder.display());
    std::fs::create_dir_all(parent).with_context(failed)?;
    let mut builder = Builder::new();
    builder.prefix(".siskin-survey-");
    // Such folders are private to their owner by default; this one gets the usual permissions.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o777));
    let draft = builder.tempdir_in(parent).with_context(failed)?;
    let surveyed = survey(&bundle, &tracks, draft.path())?;
    for (file, content) in [
        (REPORT, page::page(&surveyed)),
        ("sibilants.csv", sibilants::csv(&surveyed)),
    ] {
        std::fs::write(draft.path().join(file), content).with_context(failed)?;
    }
    place(draft.keep(), &folder).with_context(failed)?;
    print(&[page::summary(&surveyed)]);
    println!(
        "wrote {} (open {REPORT} first; start listening at a moderate level)",
        folder.display()
    );
    Ok(())
}

/// One track after the other: no more than the lead and one track are kept at a time.
fn survey(bundle: &Bundle, tracks: &[(Role, &Path)], folder: &Path) -> Result<Vec<Surveyed>> {
    let bar = progress::counting((STEPS * tracks.len()) as u64)?;
    let mut lead: Option<Lead> = None;
    let mut surveyed: Vec<Surveyed> = Vec::new();
    for &(role, path) in tracks {
        let say = |what: &str| {
            bar.set_message(format!("{}: {what}", path.display()));
            bar.inc(1);
        };
        say("reading");
        let audio = read_voice(path)?;
        let job = Job {
            bundle,
            folder,
            role,
            path,
            taken: &surveyed.iter().map(|track| &*track.name).collect::<Vec<_>>(),
            say: &say,
        };
        let (track, heard) = job.survey(audio, lead.as_ref())?;
        surveyed.push(track);
        lead = lead.or(heard);
    }
    bar.finish_and_clear();
    Ok(surveyed)
}

/// Refuses a folder that is there, unless `force` and an earlier survey is in it.
fn check_folder(folder: &Path, force: bool) -> Result<()> {
    audio_file::check_absent(folder, force)?;
    ensure!(
        !folder.exists() || folder.join(REPORT).is_file(),
        "{} holds no survey; choose another folder",
        folder.display()
    );
    Ok(())
}

/// Puts the finished folder in its place.
fn place(draft: PathBuf, folder: &Path) -> std::io::Result<()> {
    if folder.exists() {
        std::fs::remove_dir_all(folder)?;
    }
    std::fs::rename(draft, folder)
}
