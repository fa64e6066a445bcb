//! A voice that a mixer has levelled hard and brightened.

use super::level::scaled;
use crate::measurement::models::{HARD_LEVELLER, compress, levelled_hard};
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::signals::parts;

/// What the leveller takes away where the voice is loudest, dB.
const LEVELLED_DB: f64 = 20.0;
/// Where the voice is loudest: the share of its samples that the leveller turns down less.
const LOUDEST_SHARE: f64 = 0.99;
/// How often the gain before the leveller is set anew: each time the error falls to a tenth or less.
const SETTINGS: usize = 4;

/// The recording at such a level that the hard leveller takes 20 dB from its loudest vowels, through it, and through
/// the boost of the top.
pub fn levelled(recording: &Recording) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let driven = driven(recording);
    driven.with_audio(levelled_hard(&driven.audio, rate_hz))
}

/// The recording at such a level that the hard leveller of the demo would take 20 dB from its loudest vowels; silence
/// stays.
pub fn driven(recording: &Recording) -> Recording {
    let mut gain_db = 0.0;
    for _ in 0..SETTINGS {
        let Some(loudest_db) = loudest_reduction_db(recording, gain_db) else {
            return recording.clone();
        };
        // Well over its threshold the leveller takes this much for every decibel more.
        let slope = 1.0 - 1.0 / HARD_LEVELLER.ratio;
        gain_db += (LEVELLED_DB - loudest_db) / slope;
    }
    recording.with_audio(scaled(&recording.audio, gain_db))
}

/// The leveller's reduction, dB, that all but a hundredth of the vowels stays below, at a gain before it; of all the
/// sound where no vowel is labelled. None where there is no sound.
fn loudest_reduction_db(recording: &Recording, gain_db: f64) -> Option<f64> {
    if recording.audio.iter().all(|sample| *sample == 0.0) {
        return None;
    }
    let sound = scaled(&recording.audio, gain_db);
    let reduction_db = compress(&sound, recording.sample_rate_hz, &HARD_LEVELLER).reduction_db;
    let labelled = parts(&reduction_db, recording.vowels());
    let mut heard = if labelled.is_empty() {
        reduction_db
    } else {
        labelled
    };
    let loudest = ((heard.len() - 1) as f64 * LOUDEST_SHARE) as usize;
    Some(f64::from(
        *heard.select_nth_unstable_by(loudest, f32::total_cmp).1,
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::{k_weighted, lufs, near};
    use crate::measurement::voices::conditions::tests::{joined, level_lufs, songs, tone};
    use crate::measurement::voices::corpus::Sound;
    use crate::measurement::voices::signals::{peak, power_db};

    /// From the softest to the loudest vowel but for a tenth on either side, LU.
    fn spread_lu(recording: &Recording) -> f32 {
        let weighted = k_weighted(&recording.audio, recording.sample_rate_hz);
        let mut levels: Vec<f32> = recording
            .of(Sound::Vowel)
            .map(|vowel| lufs(&weighted[vowel.span.clone()]))
            .collect();
        levels.sort_by(f32::total_cmp);
        levels[levels.len() * 9 / 10] - levels[levels.len() / 10]
    }

    #[test]
    fn soft_and_loud_come_together() {
        for song in songs() {
            let [before_lu, after_lu] = [song, &levelled(song)].map(spread_lu);
            assert!(before_lu > 15.0, "{before_lu:.1} LU");
            assert!(after_lu < before_lu / 2.0, "{before_lu:.1} to {after_lu:.1} LU");
        }
    }

    #[test]
    fn the_level_before_does_not_matter() {
        for song in songs() {
            let softer = song.with_audio(scaled(&song.audio, -13.0));
            let [loud, soft] = [song, &softer].map(levelled);
            for (one, other) in loud.audio.iter().zip(&soft.audio) {
                assert!((one - other).abs() < 1e-3);
            }
        }
    }

    #[test]
    fn a_tone_is_turned_down_by_20_db() {
        let tone = tone(1000.0, 48_000.0);
        let after = levelled(&tone);
        let settled = &after.audio[48_000..];
        // The curve takes 20 dB at 20 / 0.9 dB over the threshold: what is left, and the makeup.
        let asked_db = HARD_LEVELLER.threshold_db + LEVELLED_DB / 0.9 - LEVELLED_DB + HARD_LEVELLER.makeup_db;
        let peak_db = 20.0 * f64::from(peak(settled)).log10();
        near(peak_db, asked_db, 1.0, "dB");
    }

    #[test]
    fn sibilants_gain_more_than_vowels() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let after = levelled(song);
            let change_lu = |sound| {
                let [after, before] = [&after, song].map(|one| level_lufs(&joined(one, sound), rate_hz));
                after - before
            };
            let rise_lu = change_lu(Sound::Sibilant) - change_lu(Sound::Vowel);
            assert!(rise_lu > 6.0, "{rise_lu:.1} LU");
        }
    }

    #[test]
    fn the_top_is_boosted() {
        let [low_db, top_db] = [1000.0, 15_000.0].map(|hz| {
            let after = levelled(&tone(hz, 48_000.0)).audio;
            power_db(&after[48_000..])
        });
        assert!((top_db - low_db - 6.0).abs() < 0.5, "{:.2} dB", top_db - low_db);
    }
}
