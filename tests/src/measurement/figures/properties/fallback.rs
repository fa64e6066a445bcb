//! Siskin Follow without a reference, and when one falls silent.

use std::ops::Range;

use siskin_dsp::{Class, HopReport, Settings};

use super::defaults::RATE_HZ;
use super::findings::Findings;
use super::following::both_channels;
use super::play::Play;
use super::quantity::Quantity;
use super::tracks::double;
use super::voice::Voice;
use crate::measurement::voices::conditions::scaled;

/// How much of a voice is played without a reference, s: a difference shows at once.
const UNCONNECTED_S: f64 = 12.0;
/// A reference without voice for so long is taken for absent (README), s.
const ABSENT_S: f64 = 6.0;
/// Of the lead before it falls silent, and of the track after that was noticed, s.
const BEFORE_S: f64 = 6.0;
const AFTER_S: f64 = 2.0;
/// The track is so much louder than the lead, dB, that a jump would be heard.
const LOUDER_DB: f64 = 12.0;
/// Places at which the lead falls silent: the gain is watched within a sibilant of the track.
const MOST_PLACES: usize = 4;
/// Hops before and after the moment in which the gain is watched: 13 ms, so that no sibilant just begins or ends.
const WATCHED_HOPS: usize = 10;
/// Hops after it in which the voice level is watched: half a second, in which it glides from one voice to the other.
const GLIDE_HOPS: usize = 400;

/// An unconnected side-chain, and a silent one, against none at all: samples that differ.
pub fn unconnected(voice: &Voice) -> Findings {
    let length = voice.levelled.len().min(samples(UNCONNECTED_S));
    let given = both_channels(&voice.levelled[..length]);
    let silence = vec![vec![0.0; length]; 2];
    let settings = Settings::default();
    let without = Play::new(RATE_HZ, &given, &settings);
    let alone = without.run();
    let mut findings = Findings::default();
    for reference in [&[][..], &silence[..]] {
        let played = Play {
            reference,
            reference_channels: 2,
            ..without
        }
        .run();
        let differing = played.differing_samples(&alone.audio);
        findings.note_one(Quantity::UnconnectedDiffering, &voice.line, differing as f32);
    }
    findings
}

/// A lead that falls silent while its double, much louder, sings on: the steps of voice level and gain from hop to hop
/// about the moment at which the track's own voice takes over, and the steps when the lead comes back.
pub fn silent_reference(lead: &Voice) -> Findings {
    let mut findings = Findings::default();
    let track = double(lead);
    let louder = scaled(&track.audio, LOUDER_DB);
    for switch in places(lead, &track.events) {
        one(lead, &louder, switch, &mut findings);
    }
    findings
}

fn samples(seconds: f64) -> usize {
    (seconds * RATE_HZ) as usize
}

/// Middles of the track's sibilants, before which the lead has a vowel just as long as its absence is not noticed.
fn places(lead: &Voice, sibilants: &[Range<usize>]) -> Vec<usize> {
    let vowels = lead.vowels();
    let is_voiced = |sample: usize| vowels.iter().any(|vowel| vowel.contains(&sample));
    let middles = sibilants.iter().map(|span| span.start.midpoint(span.end));
    let fitting = middles.filter(|middle| {
        *middle > samples(ABSENT_S + BEFORE_S)
            && middle + samples(2.0 * AFTER_S) < lead.levelled.len()
            && is_voiced(middle - samples(ABSENT_S))
    });
    let fitting: Vec<usize> = fitting.collect();
    let stride = fitting.len().div_ceil(MOST_PLACES).max(1);
    fitting.into_iter().step_by(stride).collect()
}

fn one(lead: &Voice, louder: &[f32], switch: usize, findings: &mut Findings) {
    let silent = switch - samples(ABSENT_S);
    let back = switch + samples(AFTER_S);
    let stretch = silent - samples(BEFORE_S)..back + samples(AFTER_S);
    let mut heard = lead.levelled.clone();
    heard[silent..back].fill(0.0);
    let (voice, reference) = (
        both_channels(&louder[stretch.clone()]),
        both_channels(&heard[stretch]),
    );
    let settings = Settings::default();
    let play = Play {
        reference: &reference,
        reference_channels: 2,
        ..Play::new(RATE_HZ, &voice, &settings)
    };
    let reports = play.run().reports;
    let changes = |at: &usize| reports[*at].follows_reference != reports[at + 1].follows_reference;
    // Before, the first voice replaces the start level, as it must.
    let found = reports.partition_point(|report| report.centre_sample < samples(BEFORE_S) as i64);
    let watched: Vec<usize> = (found..reports.len() - GLIDE_HOPS).filter(changes).collect();
    // The gain moves with the sibilant anyhow: what counts is what it does not do elsewhere.
    let elsewhere = (WATCHED_HOPS..reports.len() - WATCHED_HOPS)
        .filter(|at| watched.iter().all(|change| at.abs_diff(*change) > GLIDE_HOPS));
    let usual_db = elsewhere
        .filter_map(|at| gain_step_db(&reports, at))
        .fold(0.0, f32::max);
    for at in watched {
        let about = &reports[at - WATCHED_HOPS..at + GLIDE_HOPS];
        let step_lu = largest_step(about, |report| report.voice_lufs);
        findings.note_one(Quantity::FallbackVoiceStep, &lead.line, step_lu);
        let step_db = gain_step_db(&reports, at).map(|step_db| step_db - usual_db);
        findings.note(Quantity::FallbackGainStep, &lead.line, step_db);
    }
}

/// The largest step of the gain about a hop, dB; none where it is not all sibilant.
fn gain_step_db(reports: &[HopReport], at: usize) -> Option<f32> {
    let within = &reports[at - WATCHED_HOPS..at + WATCHED_HOPS];
    let sibilant = within.iter().all(|report| report.class == Class::Sibilant);
    sibilant.then(|| largest_step(within, |report| report.sibilance_gain_db))
}

fn largest_step(reports: &[HopReport], say: impl Fn(&HopReport) -> f32) -> f32 {
    let steps = reports
        .windows(2)
        .map(|pair| (say(&pair[1]) - say(&pair[0])).abs());
    steps.fold(0.0, f32::max)
}
