//! Sibilants against the voice, and what becomes of the vowels.

use std::ops::Range;

use siskin_dsp::Settings;

use super::defaults::{RATE_HZ, asked_db, asked_lu, from_hz};
use super::findings::Findings;
use super::play::{Layout, Play};
use super::quantity::Quantity;
use super::treatment::Treatment;
use super::voice::{Passage, Voice};
use crate::measurement::levels::{
    SibilanceMeter, SibilantReading, above, k_weighted, lufs, read_sibilants, vowel_changes_db,
};

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

/// The sibilants of a passage from which on the voice has been heard.
fn heard(voice: &Voice, passage: &Passage) -> Vec<Range<usize>> {
    let settled = voice.heard_after(0);
    let sibilants = passage.sibilants.iter();
    sibilants.filter(|span| span.start > settled).cloned().collect()
}

/// Proportion from outside and change of vowels, in every channel.
pub fn outside(voice: &Voice, treatment: &Treatment) -> Findings {
    let mut findings = Findings::default();
    for layout in treatment.layouts() {
        let after = treatment.treat(&layout.lay(&treatment.given(voice)));
        for (before, after) in layout.lay(&voice.levelled).iter().zip(&after) {
            let levels = BeforeAfter::new(before, after);
            for passage in &voice.passages {
                let errors = levels.errors_lu(&heard(voice, passage), &passage.vowels);
                findings.note(Quantity::OutsideError, &passage.name, errors);
                let changes = vowel_changes_db(before, after, RATE_HZ, &passage.vowels);
                findings.note(Quantity::VowelChange, &passage.name, changes);
            }
        }
    }
    findings
}

/// Proportion against the stage's own reported threshold. Linked detection measures both channels together, so that
/// only a mono track can be held against it.
pub fn own_rule(voice: &Voice) -> Findings {
    let given = Layout::Mono.lay(&voice.levelled);
    let played = Play::new(RATE_HZ, &given, &Settings::default()).run();
    let band = |audio: &[f32]| k_weighted(&above(audio, RATE_HZ, from_hz()), RATE_HZ);
    let (before, after) = (band(&given[0]), band(&played.audio[0]));
    let error = |span: Range<usize>| {
        let threshold = played.mean_over(&span, |report| report.threshold_lufs);
        let input = lufs(&before[span.clone()]);
        lufs(&after[span]) - (input - asked_db(input - threshold))
    };
    let mut findings = Findings::default();
    for passage in &voice.passages {
        let errors = heard(voice, passage).into_iter().map(error);
        findings.note(Quantity::OwnError, &passage.name, errors);
    }
    let settled = voice.heard_after(0);
    let labels = voice.raw.phones.iter().filter(|phone| phone.sound.is_sibilant());
    let labels = labels
        .map(|phone| phone.span.clone())
        .filter(|span| span.start > settled);
    findings.note(Quantity::OwnErrorWholeLabel, &voice.line, labels.map(error));
    findings
}
