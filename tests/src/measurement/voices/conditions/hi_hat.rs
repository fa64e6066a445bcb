//! A hi-hat that leaks from the singer's headphones.

use std::f64::consts::{FRAC_1_SQRT_2, TAU};

use super::level::{Voice, at_level, mixed};
use crate::measurement::models::Biquad;
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::singer::random::Random;

/// Level of each hit re the voice, LU, over its first part, s.
const LEVEL_LU: f64 = -30.0;
const HIT_S: f64 = 0.05;
/// From hit to hit, s: eighth notes at 120 bpm.
const EIGHTH_S: f64 = 0.25;
/// Fall to 1/e, s: a closed hi-hat (common practice, no source).
const DECAY_S: [f64; 2] = [0.04, 0.08];
/// The stick's rise, s.
const RISE_S: f64 = 0.001;
/// Lowest frequency, Hz, and the highest of the metal, Hz, or as a share of the rate where that is lower.
const LOWEST_HZ: f64 = 6000.0;
const HIGHEST_HZ: f64 = 14_000.0;
const HIGHEST_SHARE: f64 = 0.45;
/// Partials of the metal, in no ratio to one another, and their amplitude re the noise: common practice, no source.
const PARTIALS: usize = 6;
const METAL: f64 = 0.3;

/// The pattern from the first sample to the last.
pub fn add(recording: &Recording, seed: u64) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let level_lufs = Voice::of(recording).lufs() + LEVEL_LU;
    let mut random = Random::new(seed, 3);
    let metal_hz = metal(rate_hz, &mut random);
    let eighth_samples = EIGHTH_S * rate_hz;
    let hits = (recording.audio.len() as f64 / eighth_samples).ceil() as usize;
    let added: Vec<f32> = (0..hits)
        .flat_map(|_| {
            hit(
                eighth_samples as usize,
                rate_hz,
                metal_hz,
                level_lufs,
                &mut random,
            )
        })
        .collect();
    mixed(recording, &added)
}

/// The partials of one pair of cymbals, Hz.
fn metal(rate_hz: f64, random: &mut Random) -> [f64; PARTIALS] {
    let highest_hz = HIGHEST_HZ.min(HIGHEST_SHARE * rate_hz);
    std::array::from_fn(|_| random.between(LOWEST_HZ, highest_hz))
}

/// One hit.
fn hit(
    length: usize,
    rate_hz: f64,
    metal_hz: [f64; PARTIALS],
    level_lufs: f64,
    random: &mut Random,
) -> Vec<f32> {
    let decay_samples = random.between(DECAY_S[0], DECAY_S[1]) * rate_hz;
    let rise_samples = RISE_S * rate_hz;
    // Two in a row: what of the noise lies an octave down is 24 dB softer.
    let mut filters = [0; 2].map(|_| Biquad::high_pass(LOWEST_HZ, FRAC_1_SQRT_2, rate_hz));
    let phases: [f64; PARTIALS] = std::array::from_fn(|_| random.between(0.0, TAU));
    let sound: Vec<f32> = (0..length)
        .map(|sample| {
            let time = sample as f64;
            let noise = filters
                .iter_mut()
                .fold(random.noise(), |sample, filter| filter.process(sample));
            let partials = metal_hz.iter().zip(phases);
            let metal: f64 = partials
                .map(|(hz, phase)| (TAU * hz * time / rate_hz + phase).sin())
                .sum();
            let envelope = (time / rise_samples).min(1.0) * (-time / decay_samples).exp();
            (envelope * (noise + METAL / PARTIALS as f64 * metal)) as f32
        })
        .collect();
    at_level(&sound, rate_hz, 0..(HIT_S * rate_hz) as usize, level_lufs)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::{k_weighted, lufs, near};
    use crate::measurement::voices::conditions::tests::{difference, level_lufs, power_at_db, songs};

    #[test]
    fn every_eighth_is_hit_30_lu_under_the_voice_and_dies_away() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let bleed = k_weighted(&difference(&add(song, 1).audio, &song.audio), rate_hz);
            let voice_lufs = Voice::of(song).lufs();
            let eighths = bleed.chunks_exact((0.25 * rate_hz) as usize);
            assert!(eighths.len() > 200);
            for eighth in eighths {
                let part_lu = |from_s: f64, to_s: f64| {
                    let part = &eighth[(from_s * rate_hz) as usize..(to_s * rate_hz) as usize];
                    f64::from(lufs(part)) - voice_lufs
                };
                near(part_lu(0.0, 0.05), -30.0, 1.0, "LU");
                assert!(part_lu(0.2, 0.25) < -42.0, "{:.2} LU", part_lu(0.2, 0.25));
            }
        }
    }

    #[test]
    fn metal_rings_above_6_khz_alone() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let bleed = difference(&add(song, 1).audio, &song.audio);
            assert!(level_lufs(&bleed, rate_hz).is_finite());
            let fall_db = power_at_db(&bleed, rate_hz, 7000.0) - power_at_db(&bleed, rate_hz, 3000.0);
            assert!(fall_db > 20.0, "{rate_hz} Hz: {fall_db:.1} dB");
        }
    }
}
