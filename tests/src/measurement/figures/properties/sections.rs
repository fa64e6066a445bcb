//! Sections that jump by 18 dB.

use std::ops::Range;

use siskin_dsp::SibilanceSettings;

use super::defaults::RATE_HZ;
use super::findings::Findings;
use super::lisp::reductions_db;
use super::phrases::phrases;
use super::proportion::BeforeAfter;
use super::quantity::Quantity;
use super::treatment::Treatment;
use super::voice::{Voice, after_so_much};
use crate::measurement::voices::corpus::Sound;

/// How far a section lies from the one before, dB.
const JUMP_DB: f32 = 18.0;
/// The shortest section, s: the first sibilants after a jump are what counts.
const SHORTEST_S: f64 = 2.5;
/// Silence between two sections, where there is some, s.
const REST_S: f64 = 1.5;
/// Where two sections meet each fades, s: a cut would click.
const FADE_S: f64 = 0.005;
/// Voiced material of a new section after which it is held, s.
const NEW_VOICE_S: f64 = 0.3;

/// Sections one after another: where each of a voice's phrases has come to lie.
struct Sections {
    audio: Vec<f32>,
    /// Where it lay in the voice, and where it begins now.
    placed: Vec<(Range<usize>, usize)>,
}

impl Sections {
    /// The phrases of a voice, every second one softer by `jump_db`, with `rest_s` between.
    fn new(given: &[f32], phrases: &[Range<usize>], jump_db: f32, rest_s: f64) -> Self {
        let fade = (FADE_S * RATE_HZ) as usize;
        let mut sections = Self {
            audio: Vec::new(),
            placed: Vec::new(),
        };
        for (turn, phrase) in phrases.iter().enumerate() {
            let gain = if turn % 2 == 1 {
                10f32.powf(-jump_db / 20.0)
            } else {
                1.0
            };
            sections.placed.push((phrase.clone(), sections.audio.len()));
            let length = phrase.len();
            sections
                .audio
                .extend(given[phrase.clone()].iter().enumerate().map(|(n, sample)| {
                    let edge = (n.min(length - 1 - n) as f32 / fade as f32).min(1.0);
                    gain * edge * sample
                }));
            let rest = (rest_s * RATE_HZ) as usize;
            sections.audio.resize(sections.audio.len() + rest, 0.0);
        }
        sections
    }

    /// Some labels of the voice where they lie now, one list a section.
    fn moved(&self, labels: &[Range<usize>]) -> Vec<Vec<Range<usize>>> {
        let of = |(phrase, start): &(Range<usize>, usize)| {
            let inside = labels
                .iter()
                .filter(|label| label.start >= phrase.start && label.end <= phrase.end);
            inside
                .map(|label| label.start - phrase.start + start..label.end - phrase.start + start)
                .collect()
        };
        self.placed.iter().map(of).collect()
    }
}

/// Phrases that follow one another; where a voice knows no rest, the whole of it twice, and again.
fn sections(voice: &Voice) -> Vec<Range<usize>> {
    let phrases = phrases(&voice.raw, SHORTEST_S);
    if phrases.len() > 1 {
        return phrases;
    }
    vec![0..voice.levelled.len(); 3]
}

/// Jumps of 18 dB up and down, without and with a rest between.
pub fn jumps(voice: &Voice, treatment: &Treatment) -> Findings {
    let mut findings = Findings::default();
    for (rest_s, error) in [
        (0.0, Quantity::SectionError),
        (REST_S, Quantity::SectionRestError),
    ] {
        one(voice, treatment, (rest_s, error), &mut findings);
    }
    findings
}

fn one(voice: &Voice, treatment: &Treatment, (rest_s, error): (f64, Quantity), findings: &mut Findings) {
    let phrases = sections(voice);
    let untreated = Sections::new(&voice.levelled, &phrases, JUMP_DB, rest_s);
    let given = treatment.given(voice);
    let jumped = Sections::new(&given, &phrases, JUMP_DB, rest_s).audio;
    let even = Sections::new(&given, &phrases, 0.0, rest_s).audio;
    let [after_jump, after_even] = [&jumped, &even].map(|audio| treatment.treat_mono(audio, &[]));

    let voiced = untreated.moved(&voice.raw.spans(Sound::is_voice));
    let vowels = untreated.moved(&voice.raw.vowels());
    let sibilants = untreated.moved(&voice.sibilants());
    let levels = BeforeAfter::new(&untreated.audio, &after_jump);
    let range_db = SibilanceSettings::default().range_db;
    for (turn, sibilants) in sibilants.into_iter().enumerate().skip(1) {
        let begin = untreated.placed[turn].1;
        let known = after_so_much(voiced[turn].iter(), begin, (NEW_VOICE_S * RATE_HZ) as usize);
        let (early, late): (Vec<_>, Vec<_>) = sibilants.into_iter().partition(|span| span.start < known);
        let errors = levels.errors_lu(&late, &vowels[turn]);
        findings.note(error, &voice.line, errors);
        let jump = reductions_db(&jumped, &after_jump, &late);
        let differences = jump.zip(reductions_db(&even, &after_even, &late));
        let differences: Vec<f32> = differences.map(|(jump, even)| jump - even).collect();
        findings.note(Quantity::SectionDifference, &voice.line, differences);
        let taken: Vec<f32> = reductions_db(&jumped, &after_jump, &early).collect();
        findings.note(
            Quantity::SectionBeyondRange,
            &voice.line,
            taken.iter().map(|db| db - range_db),
        );
        findings.note(Quantity::SectionBoost, &voice.line, taken.iter().map(|db| -db));
    }
}
