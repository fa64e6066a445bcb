//! The hum of the mains, and the hiss of a poor preamplifier.

use std::f64::consts::TAU;

use super::level::{Voice, at_level, mixed};
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::signals::noise;
use crate::measurement::voices::singer::random::Random;

/// Level of all of it re the voice, LU: common practice, no source; what a broken shield lets in.
const HUM_LU: f64 = -40.0;
/// The mains and how many harmonics of it are heard, up to 1 kHz: common practice, no source.
const MAINS_HZ: f64 = 50.0;
const HARMONICS: usize = 20;

/// The hum, its harmonics falling by 6 dB an octave, at random phases.
pub fn hum(recording: &Recording, seed: u64) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let mut random = Random::new(seed, 1);
    let phases: [f64; HARMONICS] = std::array::from_fn(|_| random.between(0.0, TAU));
    // A period of the mains need not be whole samples: each sample has its own phase.
    let hum: Vec<f32> = (0..recording.audio.len())
        .map(|sample| {
            let turn = TAU * (MAINS_HZ * sample as f64 / rate_hz).fract();
            let harmonics = (1..).map(f64::from).zip(phases);
            harmonics
                .map(|(number, phase)| (number * turn + phase).sin() / number)
                .sum::<f64>() as f32
        })
        .collect();
    let level_lufs = Voice::of(recording).lufs() + HUM_LU;
    mixed(recording, &at_level(&hum, rate_hz, 0..hum.len(), level_lufs))
}

/// Level re the voice, LU.
const HISS_LU: f64 = -50.0;

/// White noise over the whole band, from the first sample to the last.
pub fn hiss(recording: &Recording, seed: u64) -> Recording {
    let length = recording.audio.len();
    let white: Vec<f32> = noise(seed).take(length).collect();
    let level_lufs = Voice::of(recording).lufs() + HISS_LU;
    mixed(
        recording,
        &at_level(&white, recording.sample_rate_hz, 0..length, level_lufs),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::{difference, level_lufs, power_at_db, songs};
    use crate::measurement::voices::signals::power_db;

    #[test]
    fn hum_falls_from_50_to_1000_hz_and_lies_40_lu_under_the_voice() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let hum = difference(&hum(song, 1).audio, &song.audio);
            let under_lu = level_lufs(&hum, rate_hz) - Voice::of(song).lufs();
            assert!((under_lu + 40.0).abs() < 0.1, "{rate_hz} Hz: {under_lu:.2} LU");
            let at_db = |hz| power_at_db(&hum, rate_hz, hz);
            assert!(at_db(50.0) > at_db(400.0) + 10.0);
            assert!(at_db(400.0) > at_db(900.0) + 4.0);
            assert!(at_db(900.0) > at_db(1500.0) + 50.0);
        }
    }

    #[test]
    fn hum_repeats_50_times_a_second() {
        let [_, song] = songs();
        let hum = difference(&hum(song, 1).audio, &song.audio);
        let period = (song.sample_rate_hz / MAINS_HZ) as usize;
        let change = difference(&hum[period..], &hum[..hum.len() - period]);
        let change_db = power_db(&change) - power_db(&hum);
        assert!(change_db < -40.0, "{change_db:.1} dB");
    }

    #[test]
    fn hiss_is_flat_and_50_lu_under_the_voice() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let added = difference(&hiss(song, 1).audio, &song.audio);
            let under_lu = level_lufs(&added, rate_hz) - Voice::of(song).lufs();
            assert!((under_lu + 50.0).abs() < 0.1, "{rate_hz} Hz: {under_lu:.2} LU");
            let slope_db = power_at_db(&added, rate_hz, 7000.0) - power_at_db(&added, rate_hz, 700.0);
            assert!(slope_db.abs() < 1.0, "{rate_hz} Hz: {slope_db:.2} dB");
        }
    }
}
