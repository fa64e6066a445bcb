//! What is heard as a sibilant, rightly and falsely.

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
