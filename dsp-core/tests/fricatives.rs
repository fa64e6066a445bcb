//! Fricatives at published levels: natural s and sh are left alone and louder ones are reduced; f and th are never reduced.
//!
//! Jongman, Wayland & Wong 2000, J. Acoust. Soc. Am. 108: spectral peaks s 6839, sh 3820, f 7733, th 7470 Hz; levels
//! relative to the vowel s -11.0, sh -9.9, f -20.8, th -21.9 dB.

mod signals;

use signals::{Score, aligned, engine, line, reductions_db};
use siskin_dsp::{Lookahead, Settings};

/// Vowel level, dBFS; the results do not depend on it.
const VOWEL_DB: f64 = -22.0;

fn mean_reduction_db(peak_hz: f64, level_re_vowel_db: f64, settings: &Settings) -> f64 {
    let score = Score {
        pitch_hz: 140.0,
        vowel_db: VOWEL_DB,
        fricative_db: VOWEL_DB + level_re_vowel_db,
        peak_hz,
        words: 8,
        edge_ms: 4.0,
    };
    let line = line(score, 48_000.0, 11);
    let output = aligned(
        &mut engine(48_000.0, 1, Lookahead::Long, settings),
        std::slice::from_ref(&line.audio),
    );
    let reductions = reductions_db(&line, &output[0]);
    reductions.iter().sum::<f64>() / reductions.len() as f64
}

#[test]
fn natural_sibilants_are_left_alone_and_louder_ones_are_reduced() {
    // Half of sh lies below `Detect from`, where its level is not counted.
    for (name, peak_hz, natural_db, least_db) in [("s", 6839.0, -11.0, 2.5), ("sh", 3820.0, -9.9, 1.0)] {
        let natural = mean_reduction_db(peak_hz, natural_db, &Settings::default());
        let raised = mean_reduction_db(peak_hz, natural_db + 6.0, &Settings::default());
        let strongly = mean_reduction_db(peak_hz, natural_db + 12.0, &Settings::default());
        assert!(natural < 1.5, "{name} lost {natural} dB at its natural level");
        assert!(
            raised > natural + least_db,
            "{name} lost {raised} dB when raised by 6 dB"
        );
        assert!(
            strongly > raised + 3.5,
            "{name} lost {strongly} dB when raised by 12 dB"
        );
    }
}

#[test]
fn f_and_th_are_not_reduced_even_when_louder() {
    for (name, peak_hz, natural_db) in [("f", 7733.0, -20.8), ("th", 7470.0, -21.9)] {
        for raised_db in [0.0, 6.0] {
            let lost = mean_reduction_db(peak_hz, natural_db + raised_db, &Settings::default());
            assert!(lost < 0.1, "{name} lost {lost} dB at +{raised_db} dB");
        }
    }
}
