//! Detectors made by hand: what is wrong with them is known, and the score must show it.

mod events;

use std::ops::Range;

use siskin_dsp::{Class, HopReport};

use super::*;
use crate::measurement::levels::{above, k_weighted, lufs, near};
use crate::measurement::voices::corpus::{Phone, Sound, from_song};
use crate::measurement::voices::signals::{noise, sine};
use crate::measurement::voices::singer::sing;

const RATE_HZ: f64 = 48_000.0;
const HOP_SAMPLES: usize = 64;
const LEAD_SAMPLES: usize = 112;
/// Each phrase holds, in ms: a vowel, an s, a vowel, a nasal, a rest, a breath, a rest, an f, a rest.
const PHRASE_MS: f64 = 1600.0;
const PHRASES: usize = 4;
const LABELS: [(&str, Sound, Range<f64>); 9] = [
    ("a", Sound::Vowel, 0.0..300.0),
    ("s", Sound::Sibilant, 300.0..450.0),
    ("i", Sound::Vowel, 450.0..700.0),
    ("n", Sound::Sonorant, 700.0..800.0),
    ("rest", Sound::Rest, 800.0..900.0),
    ("breath", Sound::Breath, 900.0..1200.0),
    ("rest", Sound::Rest, 1200.0..1300.0),
    ("f", Sound::WeakFricative, 1300.0..1400.0),
    ("rest", Sound::Rest, 1400.0..1600.0),
];

fn at(ms: f64) -> usize {
    (ms * 1e-3 * RATE_HZ) as usize
}

/// Phrases in which s and f are noise above 4 kHz and vowels are a tone of 500 Hz.
fn recording() -> Recording {
    let length = PHRASES * at(PHRASE_MS);
    let hiss = above(&noise(7).take(length).collect::<Vec<f32>>(), RATE_HZ, 4000.0);
    let tone = sine(500.0, RATE_HZ, length);
    let labels = (0..PHRASES).flat_map(|phrase| {
        let start_ms = phrase as f64 * PHRASE_MS;
        LABELS.map(|(symbol, sound, ms)| (symbol, sound, at(start_ms + ms.start)..at(start_ms + ms.end)))
    });
    let mut recording = Recording::made_here(RATE_HZ, vec![0.0; length], labels);
    for phone in &recording.phones {
        for n in phone.span.clone() {
            recording.audio[n] = match phone.sound {
                Sound::Vowel | Sound::Sonorant => 0.3 * tone[n],
                Sound::Sibilant => 0.2 * hiss[n],
                Sound::Breath | Sound::WeakFricative => 0.02 * hiss[n],
                _ => 0.0,
            };
        }
    }
    recording
}

/// A detector that reports for each hop what `report` returns for its centre, ms within the phrase.
fn detector(report: impl Fn(f64) -> (Class, f32)) -> Hearing {
    let hops = PHRASES * at(PHRASE_MS) / HOP_SAMPLES;
    let voice_lufs = voice_lufs();
    let report = |hop: usize| {
        let centre = hop * HOP_SAMPLES;
        let (class, sibilance_gain_db) = report((1e3 * centre as f64 / RATE_HZ) % PHRASE_MS);
        HopReport {
            centre_sample: centre as i64,
            class,
            sibilance_gain_db,
            voice_lufs,
            voice_detected: true,
            ..HopReport::default()
        }
    };
    Hearing {
        reports: (0..hops).map(report).collect(),
        hop_samples: HOP_SAMPLES,
        lead_samples: LEAD_SAMPLES,
    }
}

fn voice_lufs() -> f32 {
    let tone = sine(500.0, RATE_HZ, RATE_HZ as usize);
    let tone: Vec<f32> = tone.iter().map(|sample| 0.3 * sample).collect();
    lufs(&k_weighted(&tone, RATE_HZ))
}

/// What a detector without a fault reports.
fn truth(ms: f64) -> (Class, f32) {
    let label = LABELS.iter().find(|(_, _, span)| span.contains(&ms));
    match label.map(|(_, sound, _)| sound) {
        Some(Sound::Vowel | Sound::Sonorant) => (Class::Voice, 0.0),
        Some(Sound::Sibilant) => (Class::Sibilant, -6.0),
        Some(Sound::Breath) => (Class::Breath, 0.0),
        _ => (Class::Quiet, 0.0),
    }
}

/// The truth, but for what `report` returns for a stretch of each phrase.
fn truth_but(span_ms: Range<f64>, heard: (Class, f32)) -> Hearing {
    detector(|ms| if span_ms.contains(&ms) { heard } else { truth(ms) })
}

fn all(share: Share) {
    assert_eq!((share.part, share.whole), (PHRASES, PHRASES));
}

fn none(share: Share) {
    assert_eq!((share.part, share.whole), (0, PHRASES));
}

#[test]
fn perfect_ears_have_full_marks() {
    let Score { figures, cases } = judge(&recording(), &detector(truth));
    all(figures.sibilants.unvoiced);
    all(figures.breaths.called_breath);
    all(figures.breaths.precision);
    none(figures.breaths.called_sibilant);
    none(figures.weak_fricatives.unvoiced_called);
    assert_eq!(figures.false_events.events, 0);
    assert_eq!(figures.onsets.errors_ms.len(), PHRASES);
    assert!(
        figures.onsets.absolute_quantile_ms(1.0) < Some(1.0),
        "{figures:?}"
    );
    assert!(
        figures.voice_level.worst_of_recordings_lu() < Some(0.1),
        "{figures:?}"
    );
    let (mean_lu, deviation_lu) = figures.voice_level.at_sibilants_lu().unwrap();
    assert!(
        mean_lu.abs() < 0.1 && deviation_lu < 0.1,
        "{mean_lu} {deviation_lu}"
    );
    let percent = figures.confusion.percent();
    for (sound, class) in [(0, 0), (3, 1), (4, 1), (6, 2), (7, 3)] {
        assert_eq!(percent[sound].unwrap()[class], 100.0);
    }
    assert!(percent[1].is_none());
    assert!(cases.is_empty(), "{cases:?}");
}

#[test]
fn deaf_ears_hear_nothing_and_every_miss_is_a_case() {
    let recording = recording();
    let Score { figures, cases } = judge(&recording, &detector(|_| (Class::Quiet, 0.0)));
    none(figures.sibilants.both());
    none(figures.breaths.called_breath);
    assert_eq!(figures.breaths.precision, Share::default());
    assert!(figures.onsets.errors_ms.is_empty());
    let missed: Vec<&Case> = cases
        .iter()
        .filter(|case| case.mishap == Mishap::SibilantMissed)
        .collect();
    assert_eq!(missed.len(), PHRASES);
    let weighted = k_weighted(&recording.audio, RATE_HZ);
    let own_lufs = lufs(&weighted[missed[0].span.clone()]);
    let over_lu = own_lufs - voice_lufs() - PROPORTION_LU;
    near(missed[0].severity_db, over_lu, 0.2, missed);
    assert!(cases.iter().any(|case| case.mishap == Mishap::BreathMissed));
    assert!(cases.is_sorted_by(|one, two| one.severity_db >= two.severity_db));
}

#[test]
fn figures_add_up() {
    let one = judge(&recording(), &detector(truth)).figures;
    let two: Figures = [one.clone(), one.clone()].into_iter().sum();
    assert_eq!(two.recordings, 2);
    assert_eq!(two.duration_s, 2.0 * one.duration_s);
    assert_eq!(two.sibilants.unvoiced.whole, 2 * PHRASES);
    assert_eq!(two.breaths.precision.whole, 2 * PHRASES);
    assert_eq!(two.weak_fricatives.unvoiced_called.whole, 2 * PHRASES);
    assert_eq!(two.onsets.errors_ms.len(), 2 * PHRASES);
    assert_eq!(two.voice_level.of_recordings_lu.len(), 2);
    assert_eq!(two.confusion.hops[0][0], 2 * one.confusion.hops[0][0]);
    assert_eq!(two.false_events.per_minute(), one.false_events.per_minute());
}

#[test]
fn nothing_is_said_of_what_has_no_labels() {
    let unlabelled = Recording {
        precision: Precision::Unlabelled,
        ..recording()
    };
    assert_eq!(judge(&unlabelled, &detector(truth)).figures, Figures::default());
}

#[test]
fn the_engine_hears_the_song() {
    let Score { figures, .. } = score(&from_song(&sing(RATE_HZ, 1)));
    assert!(figures.sibilants.both().percent() > Some(90.0), "{figures:?}");
    assert!(figures.confusion.percent()[3].unwrap()[1] > 90.0, "{figures:?}");
    assert!(
        figures.voice_level.worst_of_recordings_lu() < Some(2.0),
        "{figures:?}"
    );
}
