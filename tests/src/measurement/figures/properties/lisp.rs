//! No lisp: never more than Range, never under the threshold.

use siskin_dsp::{HopReport, Settings};

use super::defaults::{RATE_HZ, from_hz};
use super::findings::Findings;
use super::play::{Layout, Play};
use super::quantity::Quantity;
use super::treatment::Treatment;
use super::voice::Voice;
use crate::measurement::levels::{band_lufs, mean};

/// Ranges under which most sibilants ask for more, and the default, dB.
const RANGES_DB: [f32; 2] = [3.0, 12.0];
/// So far under the voice that nearly everything is above the threshold, LU.
const PROPORTION_LU: f32 = -12.0;

/// Reductions beyond Range, and under the threshold, at an infinite ratio: both as reported and as measured.
pub fn siskin(voice: &Voice) -> Findings {
    let mut findings = Findings::default();
    let sibilants = voice.sibilants();
    for range_db in RANGES_DB {
        let mut settings = Settings::default();
        settings.sibilance.proportion_lu = PROPORTION_LU;
        settings.sibilance.ratio = f32::INFINITY;
        settings.sibilance.range_db = range_db;
        let given = Layout::Different.lay(&voice.levelled);
        let played = Play::new(RATE_HZ, &given, &settings).run();
        let reported = played.reports.iter().map(|report| -report.sibilance_gain_db);
        let most_db = reported.fold(f32::NEG_INFINITY, f32::max);
        findings.note_one(Quantity::ReportedBeyondRange, &voice.line, most_db - range_db);
        for (before, after) in given.iter().zip(&played.audio) {
            let beyond = reductions_db(before, after, &sibilants).map(|db| db - range_db);
            findings.note(Quantity::MeasuredBeyondRange, &voice.line, beyond);
        }
        let below = sibilants.iter().filter_map(|span| below_db(played.within(span)));
        findings.note(Quantity::BelowThreshold, &voice.line, below);
    }
    findings
}

/// How far the mean reduction of a sibilant exceeds its mean excess, dB; none where it was not heard.
fn below_db(reports: &[HopReport]) -> Option<f32> {
    let heard = || reports.iter().filter(|report| report.sibilance_lufs > -100.0);
    let excess = heard().map(|report| (report.sibilance_lufs - report.threshold_lufs).max(0.0));
    let excess: Vec<f32> = excess.collect();
    let applied: Vec<f32> = heard().map(|report| -report.sibilance_gain_db).collect();
    (!excess.is_empty()).then(|| mean(&applied) - mean(&excess))
}

/// Reductions beyond the range of one stage, as measured, at the treatment's own settings.
pub fn any(voice: &Voice, treatment: &Treatment, range_db: f32) -> Findings {
    let mut findings = Findings::default();
    let sibilants = voice.sibilants();
    for layout in treatment.layouts() {
        let after = treatment.treat(&layout.lay(&treatment.given(voice)));
        for (before, after) in layout.lay(&voice.levelled).iter().zip(&after) {
            let beyond = reductions_db(before, after, &sibilants).map(|db| db - range_db);
            findings.note(Quantity::MeasuredBeyondRange, &voice.line, beyond);
        }
    }
    findings
}

/// How much of its band each sibilant loses, dB; those that are silent are left out.
pub fn reductions_db<'a>(
    before: &[f32],
    after: &[f32],
    sibilants: &'a [std::ops::Range<usize>],
) -> impl Iterator<Item = f32> + use<'a> {
    let [before, after] = [before, after].map(|audio| band_lufs(audio, RATE_HZ, sibilants, from_hz()));
    let pairs = before
        .into_iter()
        .zip(after)
        .filter(|(before, _)| before.is_finite());
    pairs.map(|(before, after)| before - after)
}
