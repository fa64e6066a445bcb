//! Ears made by hand: what is wrong with them is known, and the score must say so.

use std::ops::Range;

use siskin_dsp::{Class, HopReport};

use super::*;
use crate::corpus::{Origin, Phone, Sound, from_song};
use crate::measure::{above, k_weighted, lufs};
use crate::signals::noise;
use crate::voices::sing;

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
    let phones: Vec<Phone> = (0..PHRASES)
        .flat_map(|phrase| {
            let start_ms = phrase as f64 * PHRASE_MS;
            LABELS.map(|(symbol, sound, ms)| Phone {
                symbol: symbol.into(),
                sound,
                span: at(start_ms + ms.start)..at(start_ms + ms.end),
            })
        })
        .collect();
    let mut audio = vec![0.0; length];
    for phone in &phones {
        for n in phone.span.clone() {
            let tone = (std::f32::consts::TAU * 500.0 * n as f32 / RATE_HZ as f32).sin();
            audio[n] = match phone.sound {
                Sound::Vowel | Sound::Sonorant => 0.3 * tone,
                Sound::Sibilant => 0.2 * hiss[n],
                Sound::Breath | Sound::WeakFricative => 0.02 * hiss[n],
                _ => 0.0,
            };
        }
    }
    Recording {
        name: "phrases".into(),
        source: "made here".into(),
        origin: Origin::Synthetic,
        language: "en".into(),
        precision: Precision::Exact,
        sample_rate_hz: RATE_HZ,
        audio,
        phones,
    }
}

/// Ears that say of each hop what `hear` says of its centre, ms within the phrase.
fn ears(hear: impl Fn(f64) -> (Class, f32)) -> Hearing {
    let hops = PHRASES * at(PHRASE_MS) / HOP_SAMPLES;
    let voice_lufs = voice_lufs();
    let report = |hop: usize| {
        let centre = hop * HOP_SAMPLES;
        let (class, sibilance_gain_db) = hear((1e3 * centre as f64 / RATE_HZ) % PHRASE_MS);
        HopReport {
            centre_sample: centre as i64,
            class,
            sibilance_gain_db,
            voice_lufs,
            voice_heard: true,
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
    let tone: Vec<f32> = (0..RATE_HZ as usize)
        .map(|n| 0.3 * (std::f32::consts::TAU * 500.0 * n as f32 / RATE_HZ as f32).sin())
        .collect();
    lufs(&k_weighted(&tone, RATE_HZ))
}

/// What ears without a fault say.
fn truth(ms: f64) -> (Class, f32) {
    let label = LABELS.iter().find(|(_, _, span)| span.contains(&ms));
    match label.map(|(_, sound, _)| sound) {
        Some(Sound::Vowel | Sound::Sonorant) => (Class::Voice, 0.0),
        Some(Sound::Sibilant) => (Class::Sibilant, -6.0),
        Some(Sound::Breath) => (Class::Breath, 0.0),
        _ => (Class::Quiet, 0.0),
    }
}

/// The truth, but for what `hear` says of a stretch of each phrase.
fn truth_but(span_ms: Range<f64>, heard: (Class, f32)) -> Hearing {
    ears(|ms| if span_ms.contains(&ms) { heard } else { truth(ms) })
}

fn all(share: Share) {
    assert_eq!((share.part, share.whole), (PHRASES, PHRASES));
}

fn none(share: Share) {
    assert_eq!((share.part, share.whole), (0, PHRASES));
}

#[test]
fn perfect_ears_have_full_marks() {
    let Score { figures, cases } = judge(&recording(), &ears(truth));
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
    let Score { figures, cases } = judge(&recording, &ears(|_| (Class::Quiet, 0.0)));
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
    assert!(
        (missed[0].severity_db - over_lu).abs() < 0.2,
        "{missed:?}, {over_lu}"
    );
    assert!(cases.iter().any(|case| case.mishap == Mishap::BreathMissed));
    assert!(cases.is_sorted_by(|one, two| one.severity_db >= two.severity_db));
}

#[test]
fn half_of_the_energy_recalls_a_sibilant() {
    let heard = |until_ms| truth_but(until_ms..450.0, (Class::Voice, 0.0));
    all(judge(&recording(), &heard(380.0)).figures.sibilants.unvoiced);
    none(judge(&recording(), &heard(370.0)).figures.sibilants.unvoiced);
}

#[test]
fn trigger_happy_ears_make_false_events_where_they_reduce_a_voice() {
    let events = |recording: &Recording, span_ms, gain_db| {
        let heard = truth_but(span_ms, (Class::Sibilant, gain_db));
        judge(recording, &heard).figures.false_events.events
    };
    let exact = recording();
    let grid = Recording {
        precision: Precision::Grid10Ms,
        ..recording()
    };
    assert_eq!(events(&exact, 100.0..120.0, -3.0), PHRASES);
    assert_eq!(events(&exact, 690.0..720.0, -3.0), PHRASES, "a vowel and a nasal");
    assert_eq!(events(&exact, 100.0..120.0, -0.9), 0, "hardly reduced");
    assert_eq!(events(&exact, 830.0..860.0, -3.0), 0, "a rest");
    assert_eq!(events(&exact, 270.0..295.0, -3.0), 0, "the edge of the s");
    assert_eq!(events(&exact, 260.0..280.0, -3.0), PHRASES, "20 ms before the s");
    assert_eq!(events(&grid, 260.0..280.0, -3.0), 0, "within the grid's margin");
    assert_eq!(events(&grid, 100.0..120.0, -3.0), PHRASES);
    let heard = truth_but(100.0..120.0, (Class::Sibilant, -3.0));
    let Score { figures, cases } = judge(&exact, &heard);
    let minutes = exact.duration_s() / 60.0;
    assert_eq!(figures.false_events.per_minute(), Some(PHRASES as f64 / minutes));
    assert_eq!(
        (cases[0].mishap, cases[0].severity_db),
        (Mishap::FalseSibilant, 3.0)
    );
    assert_eq!(cases[0].symbol, "a");
}

#[test]
fn late_and_early_ears_are_off_by_as_much() {
    let lead_ms = 1e3 * LEAD_SAMPLES as f64 / RATE_HZ;
    // The smoothing puts an abrupt onset about 1 ms early.
    let onset_ms = 299.0;
    for (begin_ms, error_ms) in [
        (onset_ms + lead_ms + 3.0, 3.0),
        (onset_ms + lead_ms + 8.0, 8.0),
        (onset_ms + lead_ms / 2.0, 0.0),
        (onset_ms - 6.0, -6.0),
    ] {
        let heard = ears(|ms| {
            let (begin, heard) = (begin_ms..450.0, (Class::Sibilant, -6.0));
            match truth(ms) {
                _ if begin.contains(&ms) => heard,
                (Class::Sibilant, _) => (Class::Voice, 0.0),
                truth => truth,
            }
        });
        let Score { figures, cases } = judge(&recording(), &heard);
        assert_eq!(figures.onsets.errors_ms.len(), PHRASES);
        // The smoothing puts an abrupt onset 0.8 ms early; hops come 1.3 ms apart.
        for error in &figures.onsets.errors_ms {
            assert!(
                (f64::from(*error) - error_ms).abs() < 2.2,
                "{error} and {error_ms} ms"
            );
        }
        assert_eq!(cases.len(), if f64::abs(error_ms) > 4.0 { PHRASES } else { 0 });
    }
}

#[test]
fn what_has_no_onset_of_its_own_is_counted_apart() {
    let mut recording = recording();
    let s = recording.phones[1].span.clone();
    let (first, second) = (s.start..s.start + at(75.0), s.start + at(75.0)..s.end);
    recording.phones[1].span = first;
    let joined = Phone {
        span: second,
        ..recording.phones[1].clone()
    };
    recording.phones.insert(2, joined);
    let onsets = judge(&recording, &ears(truth)).figures.onsets;
    assert_eq!((onsets.errors_ms.len(), onsets.without), (PHRASES, 1));
}

#[test]
fn a_run_that_begins_in_a_stop_tells_nothing_of_the_s_after_it() {
    let heard = truth_but(270.0..300.0, (Class::Sibilant, -6.0));
    let mut recording = recording();
    let early = judge(&recording, &heard).figures.onsets;
    assert!(early.absolute_quantile_ms(0.0) > Some(20.0), "{early:?}");
    let stop = Phone {
        symbol: "t".into(),
        sound: Sound::Stop,
        span: at(260.0)..at(300.0),
    };
    recording.phones[0].span.end = stop.span.start;
    recording.phones.insert(1, stop);
    let onsets = judge(&recording, &heard).figures.onsets;
    assert_eq!((onsets.errors_ms.len(), onsets.without), (PHRASES - 1, 1));
}

#[test]
fn weak_fricatives_are_reduced_only_where_called_and_lowered() {
    let figures = |gain_db| {
        let heard = truth_but(1300.0..1400.0, (Class::Sibilant, gain_db));
        judge(&recording(), &heard).figures.weak_fricatives
    };
    all(figures(-2.0).unvoiced_called);
    all(figures(-2.0).unvoiced_reduced);
    all(figures(-0.5).unvoiced_called);
    none(figures(-0.5).unvoiced_reduced);
    let lowered = truth_but(1300.0..1400.0, (Class::Voice, -2.0));
    none(
        judge(&recording(), &lowered)
            .figures
            .weak_fricatives
            .unvoiced_reduced,
    );
    let mut voiced = recording();
    for phone in voiced.phones.iter_mut().filter(|phone| phone.symbol == "f") {
        phone.symbol = "v".into();
    }
    let heard = truth_but(1300.0..1400.0, (Class::Sibilant, -2.0));
    let figures = judge(&voiced, &heard).figures.weak_fricatives;
    all(figures.voiced_reduced);
    assert_eq!(figures.unvoiced_called, Share::default());
}

#[test]
fn a_quarter_of_sibilance_makes_a_breath_a_sibilant() {
    let heard = |until_ms| truth_but(900.0..until_ms, (Class::Sibilant, -2.0));
    let figures = judge(&recording(), &heard(1000.0)).figures.breaths;
    all(figures.called_sibilant);
    all(figures.called_breath);
    all(figures.precision);
    none(judge(&recording(), &heard(960.0)).figures.breaths.called_sibilant);
    let misplaced = truth_but(1420.0..1500.0, (Class::Breath, 0.0));
    let precision = judge(&recording(), &misplaced).figures.breaths.precision;
    assert_eq!(precision.percent(), Some(50.0));
}

#[test]
fn weak_z_and_unspoken_s_are_counted_apart() {
    let mut recording = recording();
    // The second s is silence; the third a strong z; the fourth a z as weak as an f.
    let s = |phrase: usize| phrase * LABELS.len() + 1;
    recording.audio[recording.phones[s(1)].span.clone()].fill(0.0);
    for phrase in [2, 3] {
        recording.phones[s(phrase)].sound = Sound::VoicedSibilant;
    }
    for sample in &mut recording.audio[recording.phones[s(3)].span.clone()] {
        *sample *= 0.1;
    }
    let figures = judge(&recording, &ears(truth)).figures.sibilants;
    assert_eq!((figures.unvoiced.whole, figures.voiced.whole), (1, 1));
    assert_eq!((figures.elided, figures.weak_voiced), (1, 1));
}

#[test]
fn a_voice_read_too_loud_is_off_by_as_much() {
    let mut heard = ears(truth);
    for report in &mut heard.reports {
        report.voice_lufs += 2.0;
    }
    let figures = judge(&recording(), &heard).figures.voice_level;
    assert!(
        (figures.mean_of_recordings_lu().unwrap() - 2.0).abs() < 0.1,
        "{figures:?}"
    );
    assert!(
        (figures.at_sibilants_lu().unwrap().0 - 2.0).abs() < 0.1,
        "{figures:?}"
    );
}

#[test]
fn figures_add_up() {
    let one = judge(&recording(), &ears(truth)).figures;
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
    assert_eq!(judge(&unlabelled, &ears(truth)).figures, Figures::default());
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
