//! The hum of the mains.

use std::f64::consts::TAU;

use super::level::{Voice, at_level, mixed};
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::singer::random::Random;

/// Level of all of it re the voice, LU: common practice, no source; what a broken shield lets in.
const LEVEL_LU: f64 = -40.0;
/// The mains and how many harmonics of it are heard, up to 1 kHz: common practice, no source.
const MAINS_HZ: f64 = 50.0;
const HARMONICS: usize = 20;

/// The hum, its harmonics falling by 6 dB an octave, at random phases.
pub fn add(recording: &Recording, seed: u64) -> Recording {
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
    let level_lufs = Voice::of(recording).lufs() + LEVEL_LU;
    mixed(recording, &at_level(&hum, rate_hz, 0..hum.len(), level_lufs))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::{difference, level_lufs, power_at_db, songs};

    #[test]
    fn hum_falls_from_50_to_1000_hz_and_lies_40_lu_under_the_voice() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let hum = difference(&add(song, 1).audio, &song.audio);
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
        let hum = difference(&add(song, 1).audio, &song.audio);
        let period = (song.sample_rate_hz / MAINS_HZ) as usize;
        let change = difference(&hum[period..], &hum[..hum.len() - period]);
        let change_db = crate::measurement::voices::signals::power_db(&change)
            - crate::measurement::voices::signals::power_db(&hum);
        assert!(change_db < -40.0, "{change_db:.1} dB");
    }
}
