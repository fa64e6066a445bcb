//! Sibilants against the voice, and what becomes of the vowels.

use std::ops::Range;

use siskin_dsp::{Lookahead, Settings};

use super::defaults::{RATE_HZ, asked_db, asked_lu, from_hz};
use super::findings::Findings;
use super::play::{Layout, Play, Played};
use super::quantity::Quantity;
use super::treatment::Treatment;
use super::voice::Voice;
use crate::measurement::levels::{
    SibilanceMeter, SibilantReading, above, k_weighted, lufs, read_sibilants, vowel_changes_db,
};
use crate::measurement::voices::corpus::Sound;

/// Proportions of some sibilants, read against some vowels, LU; minus or plus infinity where no vowel lies near.
pub fn proportions_lu(audio: &[f32], sibilants: &[Range<usize>], vowels: &[Range<usize>]) -> Vec<f32> {
    let readings = read_sibilants(audio, RATE_HZ, sibilants, vowels, from_hz());
    readings.iter().map(SibilantReading::proportion_lu).collect()
}

/// A sound before and after a treatment, to be read section by section.
pub struct BeforeAfter {
    before: SibilanceMeter,
    after: SibilanceMeter,
}

impl BeforeAfter {
    /// Mono sounds at 48 kHz, in step.
    pub fn new(before: &[f32], after: &[f32]) -> Self {
        let [before, after] = [before, after].map(|audio| SibilanceMeter::new(audio, RATE_HZ, from_hz()));
        Self { before, after }
    }

    /// Proportions after less those that are asked for, LU; sibilants without a vowel near are left out.
    pub fn errors_lu(&self, sibilants: &[Range<usize>], vowels: &[Range<usize>]) -> Vec<f32> {
        let [before, after] = [&self.before, &self.after].map(|meter| {
            let readings = meter.read(sibilants, vowels);
            readings
                .iter()
                .map(SibilantReading::proportion_lu)
                .collect::<Vec<_>>()
        });
        let pairs = before
            .into_iter()
            .zip(after)
            .filter(|(before, _)| before.is_finite());
        pairs.map(|(before, after)| after - asked_lu(before)).collect()
    }
}

/// Proportion from outside and change of vowels, in every channel.
pub fn outside(voice: &Voice, treatment: &Treatment) -> Findings {
    let mut findings = Findings::default();
    for layout in treatment.layouts() {
        let after = treatment.treat(&layout.lay(&treatment.given(voice)));
        for (before, after) in layout.lay(&voice.levelled).iter().zip(&after) {
            let quantities = [Quantity::OutsideError, Quantity::VowelChange];
            note_outside(&mut findings, voice, before, after, quantities);
        }
    }
    findings
}

/// The same with 300 ms of lookahead, in mono.
pub fn mixing(voice: &Voice) -> Findings {
    let given = Layout::Mono.lay(&voice.levelled);
    let settings = Settings::default();
    let play = Play {
        lookahead: Lookahead::Mixing,
        ..Play::new(RATE_HZ, &given, &settings)
    };
    let mut findings = Findings::default();
    for (before, after) in given.iter().zip(&play.run().audio) {
        let quantities = [Quantity::MixingError, Quantity::MixingVowelChange];
        note_outside(&mut findings, voice, before, after, quantities);
    }
    findings
}

/// Notes errors of sibilants and changes of vowels, of a sound before and after.
fn note_outside(
    findings: &mut Findings,
    voice: &Voice,
    before: &[f32],
    after: &[f32],
    [of_sibilants, of_vowels]: [Quantity; 2],
) {
    let levels = BeforeAfter::new(before, after);
    for passage in &voice.passages {
        let errors = levels.errors_lu(&voice.heard_sibilants(passage), &passage.vowels);
        findings.note(of_sibilants, &passage.name, errors);
        let changes = vowel_changes_db(before, after, RATE_HZ, &passage.vowels);
        findings.note(of_vowels, &passage.name, changes);
    }
}

/// A sound before and after the engine, held against the threshold that the engine reported.
pub struct OwnRule<'a> {
    before: Vec<f32>,
    after: Vec<f32>,
    played: &'a Played,
}

impl<'a> OwnRule<'a> {
    /// Mono sounds at 48 kHz, in step, and what was reported meanwhile.
    pub fn new(before: &[f32], after: &[f32], played: &'a Played) -> Self {
        let [before, after] =
            [before, after].map(|audio| k_weighted(&above(audio, RATE_HZ, from_hz()), RATE_HZ));
        Self {
            before,
            after,
            played,
        }
    }

    /// How far a sibilant comes out from what the threshold asks, LU.
    pub fn error_lu(&self, span: Range<usize>) -> f32 {
        let threshold = self.played.mean_over(&span, |report| report.threshold_lufs);
        let input = lufs(&self.before[span.clone()]);
        lufs(&self.after[span]) - (input - asked_db(input - threshold))
    }
}

/// Proportion against the stage's own reported threshold. Linked detection measures both channels together, so that
/// only a mono track can be held against it.
pub fn own_rule(voice: &Voice) -> Findings {
    let given = Layout::Mono.lay(&voice.levelled);
    let played = Play::new(RATE_HZ, &given, &Settings::default()).run();
    let rule = OwnRule::new(&given[0], &played.audio[0], &played);
    let error = |span: Range<usize>| rule.error_lu(span);
    let mut findings = Findings::default();
    for passage in &voice.passages {
        let errors = voice.heard_sibilants(passage).into_iter().map(error);
        findings.note(Quantity::OwnError, &passage.name, errors);
    }
    let settled = voice.heard_after(0);
    let labels = voice.raw.spans(Sound::is_sibilant).into_iter();
    let labels = labels.filter(|span| span.start > settled);
    findings.note(Quantity::OwnErrorWholeLabel, &voice.line, labels.map(error));
    findings
}
