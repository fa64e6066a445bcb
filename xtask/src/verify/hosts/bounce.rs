//! One run of one host's script, and what it bounced.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::setup::process::NO_DISPLAY;
use anyhow::{Context, Result, bail};
use serde::Deserialize;
use siskin_tests::measurement::voices::audio_file::{self, Audio};

use super::emptied;
use super::program::{Case, Program};
use super::session::{Move, Session};

/// What a host's script answers (`tests/hosts/job.py`).
#[derive(Debug, Deserialize)]
pub struct Answer {
    /// The host's version.
    pub version: String,
    /// CLAP or VST3.
    pub format: String,
    /// What was done, in words.
    pub done: String,
    /// The latency as the host learned it, samples; none where it does not report one.
    pub latency_samples: Option<u64>,
    /// Where the host's own resolution put the automation.
    pub moves: Vec<Move>,
    /// By how much the lead comes to the side-chain late, samples.
    #[serde(default)]
    pub lead_late_samples: usize,
    /// Whether the host lets the plug-in run on before the song, so that its hops begin anywhere.
    #[serde(default)]
    pub runs_before_the_song: bool,
    /// The sound file.
    bounce: PathBuf,
}

/// What a host made of the session.
#[derive(Debug)]
pub struct Bounce {
    pub answer: Answer,
    pub audio: Audio,
}

impl Bounce {
    /// Runs the script of `program` in a folder of its own.
    pub fn of(program: &Program, case: Case, session: &Session, python: &Path) -> Result<Self> {
        let place = format!(
            "{}-{}",
            program.name,
            match case {
                Case::Surveyed => "surveyed".to_owned(),
                _ => case.plug_in().replace(' ', "-").to_lowercase(),
            }
        );
        let folder = session.folder.join(place);
        emptied(&folder)?;
        let job = folder.join("JOB.json");
        fs::write(&job, format!("{:#}\n", session.job(case)))?;
        let script = concat!(env!("CARGO_MANIFEST_DIR"), "/../tests/hosts");
        let ran = Command::new(python)
            .arg(Path::new(script).join(program.script))
            .args([&job, &folder])
            .env("DISPLAY", NO_DISPLAY)
            .output()
            .context("the script cannot be started")?;
        // More than the table has room for: also of what succeeded at a second try.
        fs::write(folder.join("said.txt"), &ran.stderr)?;
        if !ran.status.success() {
            let said = String::from_utf8_lossy(&ran.stderr);
            bail!("{}", said.lines().last().unwrap_or("the script said nothing"));
        }
        let result = fs::read_to_string(folder.join("RESULT.json"));
        let text = result.context("the host's script left no answer")?;
        let answer: Answer = serde_json::from_str(&text).context("the answer cannot be read")?;
        let audio = audio_file::read(&answer.bounce)?;
        Ok(Self { answer, audio })
    }
}
