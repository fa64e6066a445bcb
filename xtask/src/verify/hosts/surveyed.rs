//! A song in a host against a survey of it: the same sibilants, turned down at the same times by as much, and as loud.

use std::ops::Range;
use std::path::Path;

use anyhow::{Context, Result, ensure};
use serde_json::Value;
use siskin_tests::hosts::programme_lufs;
use siskin_tests::measurement::levels::above;
use siskin_tests::measurement::models::levelled_hard;
use siskin_tests::measurement::voices::audio_file::{self, Audio};
use siskin_tests::measurement::voices::singer::sing;

use super::session::{LEAD_SEED, Move, SAMPLE_RATE_HZ, Session, stereo};
use crate::build::bundle::Bundles;
use crate::report::survey::{self, SurveyOptions};

/// A hop of the engine at 48 kHz, samples.
const HOP_SAMPLES: usize = 64;
/// Gains are read in the band of sibilants, Hz.
const BAND_HZ: f64 = 4000.0;
/// A reduction begins and ends at the first of these, dB, and reaches the second: what stays between the two is compared with
/// the others' but not looked for.
const BEGINS_DB: f64 = 0.5;
const REACHES_DB: f64 = 2.0;
/// What is so far under the loudest hop has no gain that could be read: 70 dB.
const FLOOR: f64 = 1e-7;
/// What is asked of every sibilant: starts within so many hops, and gains and loudness within a tenth.
const NEAR_HOPS: usize = 1;
const NEAR_DB: f64 = 0.1;
const NEAR_LU: f32 = 0.1;
/// Where the song begins in the host's session, samples. Ardour tells a plug-in the position of what leaves it, 240 samples before
/// that of what enters: from here on the song lies on the plug-in's hops as in a survey, which begins with its first sample.
const BEGINS_AT_SAMPLE: usize = 240;
/// Silence with which the song begins, samples, as a track does: the host lets the plug-in run before the song, the survey does not.
const SILENCE_SAMPLES: usize = 48_000;

/// A survey of a levelled song.
pub struct Surveyed {
    /// The song, to be played with the settings that were proposed.
    pub session: Session,
    /// The song as the survey has rendered it.
    rendered: Audio,
}

/// How alike a host's bounce and the survey's rendering are.
#[derive(Debug, Clone, Copy)]
pub struct Agreement {
    /// Sibilants that one of them turns down.
    pub sibilants: usize,
    /// Those of which the other turns down none within a hop.
    pub missing: usize,
    /// Of those that both turn down, the furthest starts, hops.
    pub apart_hops: usize,
    /// Of the same, the furthest mean gains, dB.
    pub apart_db: f64,
    /// Difference of the integrated loudness, LU.
    pub apart_lu: f32,
}

impl Agreement {
    /// Whether it is as asked; no sibilants at all are not.
    pub fn holds(&self) -> bool {
        let alike = self.apart_hops <= NEAR_HOPS && self.apart_db <= NEAR_DB && self.apart_lu <= NEAR_LU;
        self.sibilants > 0 && self.missing == 0 && alike
    }
}

impl Surveyed {
    /// Surveys the song of `session` after hard levelling; writes into its folder.
    pub fn of(folder: &Path, bundles: &Bundles) -> Result<Self> {
        let rate_hz = f64::from(SAMPLE_RATE_HZ);
        let sung = levelled_hard(&sing(rate_hz, LEAD_SEED).audio, rate_hz);
        let lead = [vec![0.0; SILENCE_SAMPLES], sung].concat();
        let voice = stereo(&[&lead, &lead]);
        let folder = folder.join("survey");
        let path = folder.join("lead.wav");
        audio_file::write(&path, &voice, true)?;
        let out = folder.join("out");
        let options = SurveyOptions::of(path.clone(), out.clone());
        survey::run(&options, || Ok(bundles.clap.clone()))?;
        let state = std::fs::read(out.join("lead.json")).context("the survey wrote no settings")?;
        let state: Value = serde_json::from_slice(&state)?;
        let value = |id: &str| {
            let value = state["params"][id]["f32"].as_f64();
            value.with_context(|| format!("the survey wrote no {id}"))
        };
        let moves = vec![Move {
            sample: 0,
            value_lu: value("sib_prop")?,
        }];
        Ok(Self {
            session: Session {
                folder,
                lead: voice.clone(),
                voice,
                voice_path: path,
                begins_at_sample: BEGINS_AT_SAMPLE,
                moves,
                also: vec![("Detect from", value("sib_from")?)],
                bundles: bundles.clone(),
            },
            rendered: audio_file::read(&out.join("lead-siskin.wav"))?,
        })
    }

    /// Compares what a host bounced with what the survey rendered.
    pub fn compare(&self, bounce: &Audio) -> Result<Agreement> {
        let rendered = &self.rendered;
        let sizes = [bounce, rendered].map(|audio| (audio.channels.len(), audio.length()));
        ensure!(sizes[0] == sizes[1], "the bounce has another size: {sizes:?}");
        let before = hops(&self.session.voice);
        let gains = [rendered, bounce].map(|audio| Gains {
            before: &before,
            after: hops(audio),
        });
        let lufs = [rendered, bounce].map(|audio| programme_lufs(&audio.channels, audio.sample_rate_hz));
        let mut agreement = Agreement {
            sibilants: 0,
            missing: 0,
            apart_hops: 0,
            apart_db: 0.0,
            apart_lu: (lufs[0] - lufs[1]).abs(),
        };
        for (one, other) in [(&gains[0], &gains[1]), (&gains[1], &gains[0])] {
            let others = other.reductions();
            let reductions = one.reductions().into_iter();
            let reaches = |hop: usize| one.mean_db(&(hop..hop + 1)) <= -REACHES_DB;
            let found = reductions.filter(|span| span.clone().any(reaches));
            for span in found {
                agreement.sibilants += 1;
                let near = others.iter().min_by_key(|other| other.start.abs_diff(span.start));
                match near.map(|near| near.start.abs_diff(span.start)) {
                    Some(apart) if apart <= NEAR_HOPS => {
                        let apart_db = (one.mean_db(&span) - other.mean_db(&span)).abs();
                        agreement.apart_hops = agreement.apart_hops.max(apart);
                        agreement.apart_db = agreement.apart_db.max(apart_db);
                    }
                    _ => agreement.missing += 1,
                }
            }
        }
        Ok(agreement)
    }
}

/// Energy of each hop in the band of sibilants, first channel.
fn hops(audio: &Audio) -> Vec<f64> {
    let band = above(&audio.channels[0], f64::from(audio.sample_rate_hz), BAND_HZ);
    let energy = |hop: &[f32]| hop.iter().map(|&sample| f64::from(sample).powi(2)).sum();
    band.chunks(HOP_SAMPLES).map(energy).collect()
}

/// What became of the energies of a sound.
struct Gains<'a> {
    before: &'a [f64],
    after: Vec<f64>,
}

impl Gains<'_> {
    fn mean_db(&self, span: &Range<usize>) -> f64 {
        let energy = |hops: &[f64]| hops[span.clone()].iter().sum::<f64>();
        10.0 * (energy(&self.after) / energy(self.before)).log10()
    }

    /// Where the sound is turned down.
    fn reductions(&self) -> Vec<Range<usize>> {
        let floor = FLOOR * self.before.iter().copied().fold(0.0, f64::max);
        let is_reduced =
            |&hop: &usize| self.before[hop] > floor && self.mean_db(&(hop..hop + 1)) <= -BEGINS_DB;
        let hops: Vec<usize> = (0..self.before.len()).collect();
        let runs = hops.chunk_by(|one, other| is_reduced(one) == is_reduced(other));
        let reduced = runs.filter(|run| is_reduced(&run[0]));
        reduced.map(|run| run[0]..run[0] + run.len()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reductions(gains_db: &[f64]) -> Vec<Range<usize>> {
        let before = vec![1.0; gains_db.len()];
        let after = gains_db.iter().map(|gain_db| 10f64.powf(gain_db / 10.0));
        let (before, after) = (&before[..], after.collect());
        Gains { before, after }.reductions()
    }

    #[test]
    fn reductions_are_runs_of_hops_that_are_turned_down() {
        assert_eq!(reductions(&[0.0, -0.4, -0.6, -3.0, 0.0, -1.0]), [2..4, 5..6]);
        assert_eq!(reductions(&[0.0; 4]), []);
    }
}
