//! A leveller that is driven hard, for any voice.

use std::ops::Range;

use siskin_dsp::LevellerSettings;

use super::through::{Levelled, textbook};
use crate::measurement::models::CompressorSettings;
use crate::measurement::voices::corpus::{Recording, Sound};
use crate::measurement::voices::signals::power_db;

/// The hard settings: some 20 dB of reduction, a wide knee and a quick attack.
const RATIO: f32 = 10.0;
const KNEE_DB: f32 = 30.0;
const ATTACK_MS: f32 = 4.0;
/// What the static curve takes from the mean power of the vowels, dB. The louder half of them loses more, and
/// Siskin's gain stays with these: 20 dB on average over the vowels of voices of some length.
const STATIC_DB: f32 = 16.0;
/// Where the search for the textbook's threshold starts, dB, and its steps: it ends within 0.1 dB.
const START_DB: f64 = -45.0;
const STEPS: usize = 4;

/// Siskin's leveller, set hard for this voice. The vowels must be labelled and not silent.
pub fn hard_for(recording: &Recording) -> LevellerSettings {
    let vowels: Vec<f32> = recording
        .of(Sound::Vowel)
        .flat_map(|vowel| &recording.audio[vowel.span.clone()])
        .copied()
        .collect();
    // dB RMS as in AES17, where a full-scale sine reads 0.
    let level_db = power_db(&vowels) as f32 + 3.01;
    LevellerSettings {
        on: true,
        threshold_db: level_db - STATIC_DB / (1.0 - 1.0 / RATIO),
        ratio: RATIO,
        knee_db: KNEE_DB,
        attack_ms: ATTACK_MS,
        ..LevellerSettings::default()
    }
}

/// The textbook compressor with the same ratio, knee, attack and release, its threshold such that it takes
/// `reduction_db` on average over `spans`.
pub fn textbook_alike(recording: &Recording, reduction_db: f32, spans: &[Range<usize>]) -> Levelled {
    let through = |threshold_db: f64| {
        let settings = CompressorSettings {
            threshold_db,
            ratio: f64::from(RATIO),
            knee_db: f64::from(KNEE_DB),
            attack_ms: f64::from(ATTACK_MS),
            release_ms: f64::from(LevellerSettings::default().release_ms),
            makeup_db: 0.0,
        };
        textbook(&recording.audio, recording.sample_rate_hz, &settings)
    };
    // Over the threshold the curve takes this much for each decibel that it comes down.
    let slope = 1.0 - 1.0 / f64::from(RATIO);
    let mut threshold_db = START_DB;
    for _ in 1..STEPS {
        let taken_db = through(threshold_db).gains.mean_reduction_db(spans);
        threshold_db += f64::from(taken_db - reduction_db) / slope;
    }
    through(threshold_db)
}
