//! Where playback starts must not matter: other places, jumps, another start level, a spell of bypass.

use std::ops::Range;

use siskin_dsp::{Lookahead, Settings};

use super::defaults::RATE_HZ;
use super::findings::Findings;
use super::lisp::reductions_db;
use super::play::{Layout, Play};
use super::quantity::Quantity;
use super::treatment::Treatment;
use super::voice::Voice;

/// From one start to the next, samples: 3.7 s, and neither a whole number of hops nor of bars, so that starts fall
/// anywhere in words, in rests and on the grid.
const STRIDE_SAMPLES: usize = 177_623;
/// Shorter voices are started at these shares of their length.
const SHARES: [f64; 3] = [0.2, 0.45, 0.7];
/// How long a start is listened to, s: what differs at all differs early.
const LISTENED_S: f64 = 12.0;
/// By how much the start level is wrong, dB.
const WRONG_DB: [f32; 2] = [-12.0, 12.0];
/// How long the insert is bypassed, s.
const BYPASS_S: f64 = 5.0;

/// A mono sound and what became of it.
struct Run<'a> {
    given: &'a [f32],
    treated: Vec<f32>,
}

impl<'a> Run<'a> {
    fn new(given: &'a [f32], treat: impl Fn(&[f32]) -> Vec<f32>) -> Self {
        Self {
            given,
            treated: treat(given),
        }
    }

    /// Measured reductions; sample 0 of the run lies at `at` in the labels.
    fn reductions_db(&self, sibilants: &[Range<usize>], at: isize) -> Vec<f32> {
        let moved = |sample: usize| sample.wrapping_add_signed(-at);
        let spans: Vec<_> = sibilants
            .iter()
            .map(|span| moved(span.start)..moved(span.end))
            .collect();
        reductions_db(self.given, &self.treated, &spans).collect()
    }
}

fn differences(one: Vec<f32>, other: Vec<f32>) -> impl Iterator<Item = f32> {
    one.into_iter().zip(other).map(|(one, other)| one - other)
}

/// Siskin with these settings on a mono sound, in a host that reports these positions.
fn siskin(settings: &Settings, given: &[f32], positions: &[(usize, i64)]) -> Vec<f32> {
    siskin_at(Lookahead::Long, settings, given, positions)
}

/// The same at another lookahead.
fn siskin_at(
    lookahead: Lookahead,
    settings: &Settings,
    given: &[f32],
    positions: &[(usize, i64)],
) -> Vec<f32> {
    let played = Play {
        positions,
        lookahead,
        ..Play::new(RATE_HZ, &Layout::Mono.lay(given), settings)
    }
    .run();
    played.audio.into_iter().next().unwrap_or_default()
}

/// Sibilants of a stretch that begin after its first 0.5 s of voice, and end within it.
fn settled(voice: &Voice, stretch: &Range<usize>) -> Vec<Range<usize>> {
    let mut sibilants = voice.sibilants_after(voice.heard_after(stretch.start));
    sibilants.retain(|span| span.end <= stretch.end);
    sibilants
}

fn listened(voice: &Voice, start: usize) -> Range<usize> {
    start..voice.levelled.len().min(start + (LISTENED_S * RATE_HZ) as usize)
}

/// The stretches that are played from their start on.
fn stretches(voice: &Voice) -> Vec<Range<usize>> {
    let length = voice.levelled.len();
    let starts: Vec<usize> = if length > 3 * STRIDE_SAMPLES {
        (STRIDE_SAMPLES..length).step_by(STRIDE_SAMPLES).collect()
    } else {
        SHARES.map(|share| (share * length as f64) as usize).into()
    };
    starts.into_iter().map(|start| listened(voice, start)).collect()
}

/// Started anywhere after a reset, against a run from the top, in a host that reports its position.
pub fn anywhere(voice: &Voice, treatment: &Treatment) -> Findings {
    let given = treatment.given(voice);
    let treat = |given: &[f32], at: usize| treatment.treat_mono(given, &[(0, at as i64)]);
    started(voice, &given, (treat, Quantity::StartDifference))
}

/// The same with 300 ms of lookahead.
pub fn mixing(voice: &Voice) -> Findings {
    let settings = Settings::default();
    let treat = |given: &[f32], at: usize| siskin_at(Lookahead::Mixing, &settings, given, &[(0, at as i64)]);
    started(voice, &voice.levelled, (treat, Quantity::MixingStartDifference))
}

/// Started anywhere in a host that reports no position.
pub fn without_position(voice: &Voice) -> Findings {
    let settings = Settings::default();
    let treat = |given: &[f32], _: usize| siskin(&settings, given, &[]);
    started(
        voice,
        &voice.levelled,
        (treat, Quantity::NoPositionStartDifference),
    )
}

/// `treat` takes a mono sound and where it lies in the song.
fn started(
    voice: &Voice,
    given: &[f32],
    (treat, quantity): (impl Fn(&[f32], usize) -> Vec<f32>, Quantity),
) -> Findings {
    let from_the_top = Run::new(given, |given| treat(given, 0));
    let mut findings = Findings::default();
    for stretch in stretches(voice) {
        let sibilants = settled(voice, &stretch);
        let here = Run::new(&given[stretch.clone()], |given| treat(given, stretch.start));
        let here = here.reductions_db(&sibilants, stretch.start as isize);
        let differences = differences(here, from_the_top.reductions_db(&sibilants, 0));
        findings.note(quantity, &voice.line, differences);
    }
    findings
}

/// Arrived by a jump without a reset, from half the voice away, against a run from the top.
pub fn jumps(voice: &Voice) -> Findings {
    let settings = Settings::default();
    let from_the_top = Run::new(&voice.levelled, |given| siskin(&settings, given, &[(0, 0)]));
    let mut findings = Findings::default();
    let stretches = stretches(voice);
    for (turn, stretch) in stretches.iter().enumerate() {
        let sibilants = settled(voice, stretch);
        let away = &stretches[(turn + stretches.len() / 2) % stretches.len()];
        let length = away.len().min(stretch.len());
        let before = &voice.levelled[away.start..away.start + length];
        let given = [before, &voice.levelled[stretch.clone()]].concat();
        let positions = [(0, away.start as i64), (length, stretch.start as i64)];
        let here = Run::new(&given, |given| siskin(&settings, given, &positions));
        let here = here.reductions_db(&sibilants, stretch.start as isize - length as isize);
        let sought = differences(here, from_the_top.reductions_db(&sibilants, 0));
        findings.note(Quantity::SeekDifference, &voice.line, sought);
    }
    findings
}

/// A start level that is wrong by 12 dB, from the top and from the middle.
pub fn start_level(voice: &Voice) -> Findings {
    let mut findings = Findings::default();
    for start in [0, voice.levelled.len() / 2] {
        let stretch = listened(voice, start);
        let sibilants = settled(voice, &stretch);
        let run = |wrong_db: f32| {
            let mut settings = Settings::default();
            settings.follow.start_lufs += wrong_db;
            let stretch = &voice.levelled[stretch.clone()];
            let run = Run::new(stretch, |given| siskin(&settings, given, &[(0, start as i64)]));
            run.reductions_db(&sibilants, start as isize)
        };
        let right = run(0.0);
        for wrong_db in WRONG_DB {
            let wrong = differences(run(wrong_db), right.clone());
            findings.note(Quantity::StartLevelDifference, &voice.line, wrong);
        }
    }
    findings
}

/// Five seconds of bypass from a third of the voice on: what comes after against a run without. Shorter voices are
/// bypassed for a third of their length.
pub fn bypass(voice: &Voice) -> Findings {
    let given = Layout::Scaled.lay(&voice.levelled);
    let length = voice.levelled.len();
    let from = length / 3;
    let back = from + ((BYPASS_S * RATE_HZ) as usize).min(length / 3);
    let settings = Settings::default();
    let mut bypassed = settings;
    bypassed.output.bypass = true;
    let play = Play::new(RATE_HZ, &given, &settings);
    let without = play.run();
    let with = Play {
        changes: &[(from, bypassed), (back, settings)],
        ..play
    }
    .run();
    // The fade lasts 20 ms, and the sound is late by the lookahead.
    let faded = back + (0.03 * RATE_HZ) as usize;
    let sibilants = voice.sibilants_after(faded);
    let mut findings = Findings::default();
    for (channel, given) in given.iter().enumerate() {
        let [with, without] = [&with, &without]
            .map(|played| reductions_db(given, &played.audio[channel], &sibilants).collect());
        findings.note(
            Quantity::BypassDifference,
            &voice.line,
            differences(with, without),
        );
    }
    findings
}
