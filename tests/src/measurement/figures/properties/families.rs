//! The measures, each of which reads some quantities from one run or a few.

use std::ops::Range;

use super::defaults::{RATE_HZ, asked_lu};
use super::findings::Findings;
use super::treatment::Treatment;
use super::voice::Voice;
use super::{
    fallback, following, known_labels, lisp, loops, onset, proportion, rates, sections, starts, steady,
};
use crate::measurement::models::{FixedStack, SetFor};

/// One measure of Siskin: what it measures, for a progress bar, and the measure.
pub type Family = (&'static str, fn(&Voice) -> Findings);

/// All measures of Siskin.
pub const FAMILIES: &[Family] = &[
    ("rates", rates::rates),
    ("doubles and stacks", following::sibilants),
    ("starts", |voice| starts::anywhere(voice, &Treatment::Siskin)),
    ("starts without position", starts::without_position),
    ("jumps", starts::jumps),
    ("no lisp", lisp::siskin),
    ("blocks", steady::blocks),
    ("breath tracks", following::breath_track),
    ("misalignment", following::misaligned),
    ("level invariance", |voice| {
        steady::invariance(voice, &Treatment::Siskin)
    }),
    ("sections", |voice| sections::jumps(voice, &Treatment::Siskin)),
    ("identity", steady::identity),
    ("repeats", steady::repeats),
    ("proportion", |voice| {
        proportion::outside(voice, &Treatment::Siskin)
    }),
    ("lookahead of 300 ms", proportion::mixing),
    ("300 ms: rates", rates::mixing),
    ("300 ms: starts", starts::mixing),
    ("300 ms: onset", onset::mixing),
    ("known labels", known_labels::known_labels),
    ("own rule", proportion::own_rule),
    ("loops", loops::loops),
    ("start level", starts::start_level),
    ("bypass", starts::bypass),
    ("onset", onset::onset),
    ("unconnected", fallback::unconnected),
    ("silent reference", fallback::silent_reference),
];

/// The measures that make sense for two stages with fixed thresholds, too.
pub const STACK_FAMILIES: &[fn(&Voice, &Treatment) -> Findings] = &[
    steady::invariance,
    proportion::outside,
    starts::anywhere,
    |voice, treatment| lisp::any(voice, treatment, FixedStack::RANGE_DB as f32),
    sections::jumps,
];

/// The shortest voice for which fixed stages are set, s.
const SHORTEST_S: f64 = 8.0;
/// Of a voice before the passage for which the fixed stages are set, s: the leveller has settled by then.
const BEFORE_S: f64 = 2.0;

/// The two fixed stages as a careful mixer would set them for a voice: for the last passage, which in the song is the
/// loud one. None where that holds no sibilant, or no vowel to set it by, nor for clips: nobody sets thresholds for a word.
pub fn fixed_stack(voice: &Voice) -> Option<FixedStack> {
    if voice.raw.duration_s() < SHORTEST_S {
        return None;
    }
    let passage = voice.passages.last()?;
    let [sibilants, vowels] = [&passage.sibilants, &passage.vowels];
    let first = sibilants.first()?.start.min(vowels.first()?.start);
    let last = sibilants.last()?.end.max(vowels.last()?.end);
    let start = first.saturating_sub((BEFORE_S * RATE_HZ) as usize);
    let moved = |spans: &[Range<usize>]| -> Vec<Range<usize>> {
        spans
            .iter()
            .map(|span| span.start - start..span.end - start)
            .collect()
    };
    Some(FixedStack::set_for(&SetFor {
        raw: &voice.raw.audio[start..last],
        sample_rate_hz: RATE_HZ,
        sibilants: &moved(sibilants),
        vowels: &moved(vowels),
        asked_lu,
    }))
}
