//! What `cargo xtask render` makes of the same session, and how far a bounce is from it.

use std::path::Path;

use anyhow::{Result, ensure};
use siskin_tests::audio_file::Audio;
use siskin_tests::automation::Point;
use siskin_tests::host::Bundle;
use siskin_tests::measure::residual_db;

use super::bounce::Bounce;
use super::program::Case;
use super::session::{Move, Session};
use crate::render::{self, RenderOptions, Sounds};

/// The start of a hop lies at one of so many samples at 48 kHz.
const HOP_SAMPLES: usize = 64;
/// As much of the song tells where the hops began, samples: it holds several sibilants.
const EXCERPT_SAMPLES: usize = 4 * 48_000;
/// Sound after the excerpt that is rendered with it, samples: longer than any lookahead.
const BEYOND_SAMPLES: usize = 4_800;
/// What was left as it was, or not automated, differs by less than this from the bounce: dB re the bounce.
const NOTHING_DONE_DB: f32 = -60.0;

/// How far a bounce is from a rendering, the worse of the channels, dB re the rendering.
#[derive(Debug, Clone, Copy)]
pub struct Residuals {
    /// From the session as it was asked for.
    pub as_asked_db: f32,
    /// From the session as this host plays it: its own resolution of automation, its own hops, its own side-chain.
    pub as_played_db: f32,
    /// Samples by which the hops began before the song, where the host lets the plug-in run on; found by trying all.
    pub hops_early_samples: usize,
}

/// The plug-in in the in-process host.
pub struct Reference<'a> {
    bundle: Bundle,
    session: &'a Session,
}

/// How a session is rendered.
struct Playing<'a> {
    moves: &'a [Move],
    /// Silence before the song, samples.
    before: usize,
    /// By how much the lead is late, samples.
    lead_late: usize,
    /// Samples of the song.
    length: usize,
}

impl<'a> Reference<'a> {
    /// Loads the CLAP bundle at `clap`.
    ///
    /// # Errors
    ///
    /// A bundle that cannot be loaded.
    pub fn new(clap: &Path, session: &'a Session) -> Result<Self> {
        Ok(Self {
            bundle: Bundle::load(clap)?,
            session,
        })
    }

    /// Compares a bounce with the session as asked for and as the host plays it.
    ///
    /// # Errors
    ///
    /// A bounce in which nothing was done, or whose automation was not, and a rendering that fails.
    pub fn compare(&self, case: Case, bounce: &Bounce) -> Result<Residuals> {
        let length = self.session.voice.length();
        let voice = &self.session.voice;
        ensure!(
            worst_db(&bounce.audio, voice) > NOTHING_DONE_DB,
            "the bounce is the voice as it was"
        );
        let asked = Playing {
            moves: &self.session.moves,
            before: 0,
            lead_late: 0,
            length,
        };
        let still = Playing {
            moves: &asked.moves[..1],
            ..asked
        };
        if bounce.moves.len() > 1 {
            let still = self.render(case, &still)?;
            ensure!(
                worst_db(&still, &bounce.audio) > NOTHING_DONE_DB,
                "the automation is not heard"
            );
        }
        let played = Playing {
            moves: &bounce.moves,
            before: self.hops_early(case, bounce)?,
            lead_late: bounce.lead_late_samples,
            length,
        };
        Ok(Residuals {
            as_asked_db: worst_db(&self.render(case, &asked)?, &bounce.audio),
            as_played_db: worst_db(&self.render(case, &played)?, &bounce.audio),
            hops_early_samples: played.before,
        })
    }

    /// The silence before the song with which the first seconds come out as in the bounce.
    fn hops_early(&self, case: Case, bounce: &Bounce) -> Result<usize> {
        if !bounce.runs_before_the_song {
            return Ok(0);
        }
        let heard = cut(&bounce.audio, EXCERPT_SAMPLES);
        let mut best = (f32::INFINITY, 0);
        for before in 0..HOP_SAMPLES {
            let playing = Playing {
                moves: &bounce.moves[..1],
                before,
                lead_late: bounce.lead_late_samples,
                length: EXCERPT_SAMPLES + BEYOND_SAMPLES,
            };
            let rendered = cut(&self.render(case, &playing)?, EXCERPT_SAMPLES);
            let residual_db = worst_db(&rendered, &heard);
            if residual_db < best.0 {
                best = (residual_db, before);
            }
        }
        Ok(best.1)
    }

    fn render(&self, case: Case, playing: &Playing) -> Result<Audio> {
        let session = self.session;
        let voice = preceded(&cut(&session.voice, playing.length), playing.before);
        let lead = || {
            preceded(
                &cut(&session.lead, playing.length),
                playing.before + playing.lead_late,
            )
        };
        let sounds = Sounds {
            voice,
            reference: (case == Case::SideChain).then(lead),
        };
        let options = RenderOptions {
            set: vec![format!("sib_prop={}", playing.moves[0].value_lu)],
            reference: (case == Case::SideChain).then(|| session.lead_path()),
            ..RenderOptions::of(session.voice_path())
        };
        let rate_hz = f64::from(session.voice.sample_rate_hz);
        let points: Vec<Point> = playing
            .moves
            .iter()
            .map(|step| point(step, playing.before, rate_hz))
            .collect();
        let mut audio = render::sounds(&self.bundle, &options, sounds, &points)?;
        for channel in &mut audio.channels {
            channel.drain(..playing.before);
        }
        Ok(audio)
    }
}

/// The first move stands from the top, whatever comes before the song.
fn point(step: &Move, before: usize, rate_hz: f64) -> Point {
    let sample = if step.sample == 0 { 0 } else { step.sample + before };
    Point {
        line: 0,
        time_s: sample as f64 / rate_hz,
        id: "sib_prop".into(),
        value: step.value_lu.to_string(),
    }
}

fn preceded(audio: &Audio, samples: usize) -> Audio {
    let silence = vec![0.0; samples];
    let preceded = |channel: &Vec<f32>| [&silence[..], channel].concat();
    Audio {
        sample_rate_hz: audio.sample_rate_hz,
        channels: audio.channels.iter().map(preceded).collect(),
    }
}

fn cut(audio: &Audio, length: usize) -> Audio {
    let cut = |channel: &Vec<f32>| channel[..length.min(channel.len())].to_vec();
    Audio {
        sample_rate_hz: audio.sample_rate_hz,
        channels: audio.channels.iter().map(cut).collect(),
    }
}

/// The worst channel; where their numbers differ, nothing is alike.
fn worst_db(reference: &Audio, other: &Audio) -> f32 {
    if reference.channels.len() != other.channels.len() {
        return f32::INFINITY;
    }
    let channels = reference.channels.iter().zip(&other.channels);
    channels
        .map(|(one, two)| residual_db(one, two))
        .fold(f32::NEG_INFINITY, f32::max)
}
