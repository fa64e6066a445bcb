//! The hiss of a poor preamplifier.

use super::level::{Voice, at_level, mixed};
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::signals::noise;

/// Level re the voice, LU.
const LEVEL_LU: f64 = -50.0;

/// White noise over the whole band, from the first sample to the last.
pub fn add(recording: &Recording, seed: u64) -> Recording {
    let length = recording.audio.len();
    let white: Vec<f32> = noise(seed).take(length).collect();
    let level_lufs = Voice::of(recording).lufs() + LEVEL_LU;
    mixed(
        recording,
        &at_level(&white, recording.sample_rate_hz, 0..length, level_lufs),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::{difference, level_lufs, power_at_db, songs};

    #[test]
    fn hiss_is_flat_and_50_lu_under_the_voice() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let hiss = difference(&add(song, 1).audio, &song.audio);
            let under_lu = level_lufs(&hiss, rate_hz) - Voice::of(song).lufs();
            assert!((under_lu + 50.0).abs() < 0.1, "{rate_hz} Hz: {under_lu:.2} LU");
            let slope_db = power_at_db(&hiss, rate_hz, 7000.0) - power_at_db(&hiss, rate_hz, 700.0);
            assert!(slope_db.abs() < 1.0, "{rate_hz} Hz: {slope_db:.2} dB");
        }
    }
}
