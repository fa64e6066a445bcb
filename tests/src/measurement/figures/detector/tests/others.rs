//! Weak fricatives, breaths and the voice level.

use super::*;

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
