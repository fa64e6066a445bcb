//! The program `siskin` of a package, started as a person starts it: what it renders is what this machine renders.

use std::path::Path;
use std::process::Command;

use anyhow::{Context, Result, ensure};
use siskin_program::render::{self, RenderOptions, Sounds};
use siskin_tests::hosts::clap::Bundle;
use siskin_tests::measurement::levels::residual_db;
use siskin_tests::measurement::voices::audio_file::{self, Audio};
use siskin_tests::measurement::voices::singer::sing;
use tempfile::TempDir;

const RATE_HZ: u32 = 48_000;
/// Enough of a song for a few sibilants, samples.
const SAMPLES: usize = 6 * RATE_HZ as usize;
/// What the singer is chosen by.
const SEED: u64 = 3;
/// The second channel is softer than the first, linear: neither stands for the other.
const SOFTER: f32 = 0.5;
/// Settings by which every stage has something to do.
const SETTINGS: [&str; 3] = ["sib_prop=-20", "br_on=on", "lev_on=on"];
/// The goal: what is left of the difference, dB re the sound.
const RESIDUAL_DB: f32 = -120.0;
/// What the rendering itself must do at least for a comparison to say anything, dB re the sound.
const OWN_WORK_DB: f32 = -40.0;
/// The sound, and the folder of a result below that of the sound; names without a path are alike on every system.
const INPUT: &str = "lead.wav";
const RENDERED: &str = "lead-siskin.wav";

/// A sound in a folder, and what this machine makes of it.
pub struct Rendering {
    folder: TempDir,
    expected: Audio,
}

impl Rendering {
    /// Renders by the CLAP bundle at `clap`, in this process.
    pub fn prepare(clap: &Path) -> Result<Self> {
        let folder = tempfile::tempdir()?;
        let path = folder.path().join(INPUT);
        let mut voice = sing(f64::from(RATE_HZ), SEED).audio;
        voice.truncate(SAMPLES);
        let softer = voice.iter().map(|sample| SOFTER * sample).collect();
        let input = Audio::new(RATE_HZ, vec![voice, softer]);
        audio_file::write(&path, &input, false)?;

        let options = RenderOptions {
            set: SETTINGS.map(str::to_owned).to_vec(),
            ..RenderOptions::of(path.clone())
        };
        let sounds = Sounds {
            voice: render::read_voice(&path)?,
            reference: None,
        };
        let expected = render::sounds(&Bundle::load(clap)?, &options, sounds, &[])?;
        for (before, after) in input.channels.iter().zip(&expected.channels) {
            ensure!(
                residual_db(before, after) > OWN_WORK_DB,
                "the plug-in does nothing"
            );
        }
        Ok(Self { folder, expected })
    }

    /// The folder that the program is started in.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Has `program` render the sound, and returns what is left of the difference, dB re the sound; fails where that is too much.
    pub fn compare(&self, mut program: Command) -> Result<f32> {
        let out = "rendered";
        let rendered = self.folder().join(out).join(RENDERED);
        let _may_be_missing = std::fs::remove_file(&rendered);
        program
            .args(["render", INPUT, "--out", out, "--set"])
            .args(SETTINGS)
            .current_dir(self.folder());
        crate::setup::process::output(&mut program)?;
        let left_db = left_db(&self.expected, &audio_file::read(&rendered)?)?;
        ensure!(
            left_db < RESIDUAL_DB,
            "{left_db} dB are left of the difference to this machine's rendering"
        );
        Ok(left_db)
    }
}

/// What is left of the difference on the worse channel, dB re the `expected` sound.
fn left_db(expected: &Audio, rendered: &Audio) -> Result<f32> {
    ensure!(
        expected.channels.len() == rendered.channels.len() && expected.length() == rendered.length(),
        "{} channels of {} samples were rendered",
        rendered.channels.len(),
        rendered.length()
    );
    let channels = expected.channels.iter().zip(&rendered.channels);
    let left_db = channels.map(|(expected, rendered)| residual_db(expected, rendered));
    left_db.reduce(f32::max).context("no channel was rendered")
}

#[cfg(test)]
mod tests {
    use siskin_tests::hosts::built::clap_bundle;

    use super::*;

    /// A program that puts `content` where a rendering belongs.
    fn writer(folder: &Path, content: &Audio) -> Command {
        let given = folder.join("given.wav");
        audio_file::write(&given, content, true).unwrap();
        let mut shell = Command::new("sh");
        shell
            .args(["-c", "mkdir -p rendered && cp given.wav rendered/lead-siskin.wav"])
            .arg("siskin");
        shell
    }

    #[test]
    fn only_the_rendering_of_this_machine_passes() {
        let rendering = Rendering::prepare(&clap_bundle()).unwrap();
        let try_with = |content: &Audio| rendering.compare(writer(rendering.folder(), content));
        assert_eq!(try_with(&rendering.expected).unwrap(), f32::NEG_INFINITY);

        let input = audio_file::read(&rendering.folder().join(INPUT)).unwrap();
        assert!(try_with(&input).is_err(), "nothing was done");
        let mut changed = rendering.expected.clone();
        changed.channels[1][1000] += 0.01;
        assert!(try_with(&changed).is_err(), "a sample of the second channel");
        changed.channels.pop();
        assert!(try_with(&changed).is_err(), "a channel is missing");

        // The last rendering is still there: it must not pass for this program's.
        let error = rendering.compare(Command::new("true")).unwrap_err();
        assert!(error.to_string().contains(RENDERED), "{error:#}");
        let error = rendering.compare(Command::new("false")).unwrap_err();
        assert!(error.to_string().contains("failed: false render"), "{error:#}");
    }
}
