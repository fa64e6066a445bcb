//! What `cargo xtask render` makes of the same session, and how far a bounce is from it.

use std::path::Path;

use anyhow::{Result, ensure};
use siskin_tests::hosts::automation::Point;
use siskin_tests::hosts::clap::Bundle;
use siskin_tests::measurement::levels::residual_db;
use siskin_tests::measurement::voices::audio_file::Audio;

use super::bounce::Bounce;
use super::program::Case;
use super::session::{Move, Session};
use crate::measure::render::{self, RenderOptions, Sounds};

/// The clocks of the engine at 48 kHz, samples: a hop, and the longest, 188 hops, over which the recent noise floor is found.
const HOP_SAMPLES: usize = 64;
const LONGEST_CLOCK_SAMPLES: usize = 188 * HOP_SAMPLES;
/// A plug-in that runs on before the song has heard nothing but silence for as long as its clocks remember, samples: over
/// eight spans the recent noise floor is found.
const SILENCE_SAMPLES: usize = 9 * LONGEST_CLOCK_SAMPLES;
/// The part of the song that shows where the hops began, samples: it holds several sibilants.
const EXCERPT_SAMPLES: usize = 4 * 48_000;
/// So long before a difference the excerpt begins that tells where the longest clock stood: twice as long as it remembers.
const HISTORY_SAMPLES: usize = 4 * 48_000;
/// What comes out this close to the best is as good, dB; so many rounds leave few of 188.
const ALIKE_DB: f32 = 3.0;
const ROUNDS: usize = 5;
/// Before a difference so much is listened to, samples.
const HEARD_SAMPLES: usize = 24_000;
/// From here on a bounce is the rendering, dB re the rendering.
pub const RESIDUAL_DB: f32 = -100.0;
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
    /// Samples by which the plug-in's clocks began before the song, where the host lets it run on; found by trying all.
    pub begun_before_samples: usize,
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
    /// The first sample of the song that is played: a multiple of the longest clock.
    from: usize,
    /// Samples of the song.
    length: usize,
}

impl<'a> Reference<'a> {
    /// Loads the CLAP bundle at `clap`.
    pub fn new(clap: &Path, session: &'a Session) -> Result<Self> {
        Ok(Self {
            bundle: Bundle::load(clap)?,
            session,
        })
    }

    /// Compares a bounce with the session as asked for and as the host plays it.
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
            from: 0,
            length,
        };
        let still = Playing {
            moves: &asked.moves[..1],
            ..asked
        };
        if bounce.answer.moves.len() > 1 {
            let still = self.render(case, &still)?;
            ensure!(
                worst_db(&still, &bounce.audio) > NOTHING_DONE_DB,
                "the automation is not heard"
            );
        }
        let played = Playing {
            moves: &bounce.answer.moves,
            before: 0,
            lead_late: bounce.answer.lead_late_samples,
            ..asked
        };
        let begun_before_samples = self.begun_before(case, bounce, &played)?;
        let played = Playing {
            before: begun_before_samples,
            ..played
        };
        Ok(Residuals {
            as_asked_db: worst_db(&self.render(case, &asked)?, &bounce.audio),
            as_played_db: worst_db(&self.render(case, &played)?, &bounce.audio),
            begun_before_samples: begun_before_samples % LONGEST_CLOCK_SAMPLES,
        })
    }

    /// The silence before the song with which it comes out as in the bounce: where a hop begins, by the first seconds; then
    /// where the longest clock does, by what is otherwise then, and again by what is still otherwise.
    fn begun_before(&self, case: Case, bounce: &Bounce, played: &Playing) -> Result<usize> {
        if !bounce.answer.runs_before_the_song {
            return Ok(0);
        }
        let begin = Playing {
            length: EXCERPT_SAMPLES,
            ..*played
        };
        let hops = SILENCE_SAMPLES..SILENCE_SAMPLES + HOP_SAMPLES;
        let hop = self.most_alike(case, bounce, &begin, 0, hops.collect())?[0];
        let clocks = hop..SILENCE_SAMPLES + LONGEST_CLOCK_SAMPLES;
        let mut candidates: Vec<usize> = clocks.step_by(HOP_SAMPLES).collect();
        for _ in 0..ROUNDS {
            let before = candidates[0];
            let song = self.render(case, &Playing { before, ..*played })?;
            if worst_db(&song, &bounce.audio) <= RESIDUAL_DB {
                break;
            }
            let worst = where_most_differs(&song, &bounce.audio);
            let from = worst.saturating_sub(HISTORY_SAMPLES) / LONGEST_CLOCK_SAMPLES * LONGEST_CLOCK_SAMPLES;
            let excerpt = Playing {
                from,
                length: worst + BEYOND_SAMPLES - from,
                ..*played
            };
            // What came before the excerpt is not in the rendering, and tells at its beginning.
            let skipped = (worst - from).saturating_sub(HEARD_SAMPLES);
            candidates = self.most_alike(case, bounce, &excerpt, skipped, candidates)?;
        }
        Ok(candidates[0])
    }

    /// Those of `tried`, at least one, with which the excerpt, but for its first `skipped` samples, comes out most as in the
    /// bounce.
    fn most_alike(
        &self,
        case: Case,
        bounce: &Bounce,
        excerpt: &Playing,
        skipped: usize,
        tried: Vec<usize>,
    ) -> Result<Vec<usize>> {
        let heard = cut(&bounce.audio, excerpt.from + skipped, excerpt.length - skipped);
        let residual_db = |before: usize| {
            let playing = Playing {
                before,
                length: excerpt.length + BEYOND_SAMPLES,
                ..*excerpt
            };
            let rendered = cut(&self.render(case, &playing)?, skipped, excerpt.length - skipped);
            anyhow::Ok((worst_db(&rendered, &heard), before))
        };
        let residuals: Vec<(f32, usize)> = tried.into_iter().map(residual_db).collect::<Result<_>>()?;
        let best_db = residuals
            .iter()
            .map(|(residual_db, _)| *residual_db)
            .fold(f32::INFINITY, f32::min);
        let alike = residuals
            .iter()
            .filter(|(residual_db, _)| *residual_db <= best_db + ALIKE_DB);
        Ok(alike.map(|(_, before)| *before).collect())
    }

    fn render(&self, case: Case, playing: &Playing) -> Result<Audio> {
        let session = self.session;
        let part = |audio: &Audio| cut(audio, playing.from, playing.length);
        let lead = || preceded(&part(&session.lead), playing.before + playing.lead_late);
        let sounds = Sounds {
            voice: preceded(&part(&session.voice), playing.before),
            reference: (case == Case::SideChain).then(lead),
        };
        let points = points(playing, f64::from(session.voice.sample_rate_hz));
        let options = RenderOptions {
            set: points[..1]
                .iter()
                .map(|first| format!("{}={}", first.id, first.value))
                .collect(),
            reference: (case == Case::SideChain).then(|| session.lead_path()),
            ..RenderOptions::of(session.voice_path.clone())
        };
        let mut audio = render::sounds(&self.bundle, &options, sounds, &points)?;
        for channel in &mut audio.channels {
            channel.drain(..playing.before);
        }
        Ok(audio)
    }
}

/// The moves as automation: the one that holds where the playing begins, from the top, then those that follow.
fn points(playing: &Playing, sample_rate_hz: f64) -> Vec<Point> {
    let reached = playing
        .moves
        .iter()
        .filter(|step| step.sample <= playing.from)
        .count();
    let moves = &playing.moves[reached.saturating_sub(1)..];
    let point = |(index, step): (usize, &Move)| Point {
        line: 0,
        time_s: match index {
            0 => 0.0,
            _ => (step.sample - playing.from + playing.before) as f64 / sample_rate_hz,
        },
        id: "sib_prop".into(),
        value: step.value_lu.to_string(),
    };
    moves.iter().enumerate().map(point).collect()
}

fn preceded(audio: &Audio, samples: usize) -> Audio {
    let silence = vec![0.0; samples];
    let preceded = |channel: &Vec<f32>| [&silence[..], channel].concat();
    Audio::new(
        audio.sample_rate_hz,
        audio.channels.iter().map(preceded).collect(),
    )
}

fn cut(audio: &Audio, from: usize, length: usize) -> Audio {
    let cut = |channel: &Vec<f32>| channel[from..(from + length).min(channel.len())].to_vec();
    Audio::new(audio.sample_rate_hz, audio.channels.iter().map(cut).collect())
}

/// The sample at which any channel differs most.
fn where_most_differs(one: &Audio, other: &Audio) -> usize {
    let channels = one.channels.iter().zip(&other.channels);
    let differences = channels.flat_map(|(one, other)| {
        one.iter()
            .zip(other)
            .map(|(one, other)| (one - other).abs())
            .enumerate()
    });
    let most = differences.max_by(|(_, one), (_, other)| one.total_cmp(other));
    most.map_or(0, |(sample, _)| sample)
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
