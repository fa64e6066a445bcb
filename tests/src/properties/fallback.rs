//! Siskin Follow without a reference, and when one falls silent.

use std::ops::Range;

use siskin_dsp::{Class, Settings};

use super::findings::Findings;
use super::following::both_channels;
use super::play::Play;
use super::quantity::Quantity;
use super::tracks::double;
use super::voice::{RATE_HZ, Voice};
use crate::conditions::scaled;

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

/// An unconnected side-chain, and a silent one, against none at all: samples that differ.
#[must_use]
pub fn unconnected(voice: &Voice) -> Findings {
    let given = both_channels(&voice.levelled);
    let silence = vec![vec![0.0; voice.levelled.len()]; 2];
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
#[must_use]
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
    let vowels: Vec<_> = lead.passages.iter().flat_map(|passage| &passage.vowels).collect();
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
    let voice = both_channels(&louder[stretch.clone()]);
    let settings = Settings::default();
    let reports = |lead: &[f32]| {
        let play = Play {
            reference: &both_channels(&lead[stretch.clone()]),
            reference_channels: 2,
            ..Play::new(RATE_HZ, &voice, &settings)
        };
        play.run().reports
    };
    let mut heard = lead.levelled.clone();
    heard[silent..back].fill(0.0);
    let (with, without) = (reports(&heard), reports(&lead.levelled));
    for at in WATCHED_HOPS..with.len() - WATCHED_HOPS {
        if with[at].follows_reference == with[at + 1].follows_reference || !without[at].follows_reference {
            continue;
        }
        // The glide takes half a second.
        let about = &with[at - WATCHED_HOPS..(at + 400).min(with.len())];
        let step_lu = largest_step(about.iter().map(|report| report.voice_lufs));
        findings.note_one(Quantity::FallbackVoiceStep, &lead.line, step_lu);
        // The gain moves with the sibilant anyhow: what counts is what a lead that sings on would not have moved.
        let within = at - WATCHED_HOPS..at + WATCHED_HOPS;
        if with[within.clone()]
            .iter()
            .all(|report| report.class == Class::Sibilant)
        {
            let pairs = with[within.clone()].iter().zip(&without[within]);
            let step_db = largest_step(pairs.map(|(one, two)| one.sibilance_gain_db - two.sibilance_gain_db));
            findings.note_one(Quantity::FallbackGainStep, &lead.line, step_db);
        }
    }
}

fn largest_step(values: impl Iterator<Item = f32>) -> f32 {
    let values: Vec<f32> = values.collect();
    let steps = values.windows(2).map(|pair| (pair[1] - pair[0]).abs());
    steps.fold(0.0, f32::max)
}
