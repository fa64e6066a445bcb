//! What is heard as a sibilant, rightly and falsely, and when; weak fricatives, breaths and the voice level.

use super::*;

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
    let figures = judge(&recording, &detector(truth)).figures.sibilants;
    assert_eq!((figures.unvoiced.whole, figures.voiced.whole), (1, 1));
    assert_eq!((figures.elided, figures.weak_voiced), (1, 1));
}

#[test]
fn late_and_early_detectors_are_off_by_as_much() {
    let lead_ms = 1e3 * LEAD_SAMPLES as f64 / RATE_HZ;
    // The smoothing puts an abrupt onset about 1 ms early.
    let onset_ms = 299.0;
    for (begin_ms, error_ms) in [
        (onset_ms + lead_ms + 3.0, 3.0),
        (onset_ms + lead_ms + 8.0, 8.0),
        (onset_ms + lead_ms / 2.0, 0.0),
        (onset_ms - 6.0, -6.0),
    ] {
        let heard = detector(|ms| {
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
            near(*error, error_ms, 2.2, begin_ms);
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
    let joined = recording.phones[1].at(second);
    recording.phones.insert(2, joined);
    let onsets = judge(&recording, &detector(truth)).figures.onsets;
    assert_eq!((onsets.errors_ms.len(), onsets.without), (PHRASES, 1));
}

#[test]
fn a_run_that_begins_in_a_stop_tells_nothing_of_the_s_after_it() {
    let heard = truth_but(270.0..300.0, (Class::Sibilant, -6.0));
    let mut recording = recording();
    let early = judge(&recording, &heard).figures.onsets;
    assert!(early.absolute_quantile_ms(0.0) > Some(20.0), "{early:?}");
    let stop = Phone::new("t", Sound::Stop, at(260.0)..at(300.0));
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
fn a_voice_read_too_loud_is_off_by_as_much() {
    let mut heard = detector(truth);
    for report in &mut heard.reports {
        report.voice_lufs += 2.0;
    }
    let figures = judge(&recording(), &heard).figures.voice_level;
    near(figures.mean_of_recordings_lu().unwrap(), 2.0, 0.1, "mean");
    near(figures.at_sibilants_lu().unwrap().0, 2.0, 0.1, "at sibilants");
}
