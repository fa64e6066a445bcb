//! When it is heard.

use super::*;

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
