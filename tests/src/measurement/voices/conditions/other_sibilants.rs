//! Sibilants of other mouths: a lisp, and a whistle between the teeth.

use std::f64::consts::FRAC_1_SQRT_2;

use super::level::exchange;
use crate::measurement::levels::{Energies, above};
use crate::measurement::models::Biquad;
use crate::measurement::voices::corpus::{Phone, Recording};
use crate::measurement::voices::singer::random::Random;

/// What lies above is the frication, Hz; a voice below it stays as it is.
const FRICATION_HZ: f64 = 2500.0;
/// Time over which the frication's power is followed, s.
const ENVELOPE_S: f64 = 0.005;
/// From the sound before and to the one after, s.
const CROSSFADE_S: f64 = 0.002;
/// Where a lisp is flat and where a whistle peaks, Hz, or to this share of the rate where that is lower.
const BAND_HZ: [f64; 2] = [3000.0, 12_000.0];
const LISP_SHARE: f64 = 0.45;
const WHISTLE_SHARE: f64 = 0.42;
/// Sharpness of a whistle, and how far the flat noise lies under it, dB.
const QUALITY: [f64; 2] = [8.0, 15.0];
const BREADTH_DB: f64 = -15.0;
/// The filters ring in before the noise is used, s.
const SETTLING_S: f64 = 0.01;

/// Every sibilant a broad flat noise.
pub fn lisping(recording: &Recording, seed: u64) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let mut random = Random::new(seed, 6);
    replaced(recording, |length| flat(length, rate_hz, &mut random))
}

/// Every sibilant a whistle at a pitch of its own, over a quiet flat noise.
pub fn whistling(recording: &Recording, seed: u64) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let mut random = Random::new(seed, 7);
    replaced(recording, |length| {
        let breadth = 10_f64.powf(BREADTH_DB / 20.0);
        let whistle = peak(length, rate_hz, &mut random);
        let broad = flat(length, rate_hz, &mut random);
        whistle
            .iter()
            .zip(broad)
            .map(|(one, other)| one + breadth * other)
            .collect()
    })
}

/// The recording with `noise` of a length in samples, mean square 1, in place of the frication of every sibilant, with
/// its envelope and its energy.
fn replaced(recording: &Recording, mut noise: impl FnMut(usize) -> Vec<f64>) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let frication = above(&recording.audio, rate_hz, FRICATION_HZ);
    let mut audio = recording.audio.clone();
    let sibilant = |phone: &&Phone| phone.sound.is_sibilant();
    for Phone { span, .. } in recording.phones.iter().filter(sibilant) {
        let old = &frication[span.clone()];
        let new = enveloped(&noise(span.len()), old, (ENVELOPE_S * rate_hz) as usize);
        exchange(&mut audio[span.clone()], old, &new, CROSSFADE_S * rate_hz);
    }
    recording.with_audio(audio)
}

/// The noise with the envelope and the energy of `pattern`, which is as long.
fn enveloped(noise: &[f64], pattern: &[f32], reach_samples: usize) -> Vec<f32> {
    let pattern = Energies::new(pattern);
    let shaped: Vec<f64> = (0..noise.len())
        .map(|sample| {
            let start = sample.saturating_sub(reach_samples / 2);
            let end = (sample + reach_samples / 2 + 1).min(noise.len());
            noise[sample] * pattern.power(&(start..end)).sqrt()
        })
        .collect();
    let energy: f64 = shaped.iter().map(|sample| sample * sample).sum();
    let gain = if energy > 0.0 {
        (pattern.energy(&(0..noise.len())) / energy).sqrt()
    } else {
        0.0
    };
    shaped.into_iter().map(|sample| (gain * sample) as f32).collect()
}

/// Flat noise, mean square 1.
fn flat(length: usize, rate_hz: f64, random: &mut Random) -> Vec<f64> {
    let high_hz = BAND_HZ[1].min(LISP_SHARE * rate_hz);
    // A Butterworth filter of fourth order is two of second order with these two qualities.
    let mut filters = [0.5412, 1.3066].map(|quality| Biquad::high_pass(BAND_HZ[0], quality, rate_hz));
    let mut low_pass = Biquad::low_pass(high_hz, FRAC_1_SQRT_2, rate_hz);
    filtered(length, rate_hz, random, |white| {
        let high = filters
            .iter_mut()
            .fold(white, |sample, filter| filter.process(sample));
        low_pass.process(high)
    })
}

/// A narrow noise at a random pitch, even over the octaves; mean square 1.
fn peak(length: usize, rate_hz: f64, random: &mut Random) -> Vec<f64> {
    let high_hz = BAND_HZ[1].min(WHISTLE_SHARE * rate_hz);
    let hz = random.between(BAND_HZ[0].log2(), high_hz.log2()).exp2();
    let mut filter = Biquad::band_pass(hz, random.between(QUALITY[0], QUALITY[1]), rate_hz);
    filtered(length, rate_hz, random, |white| filter.process(white))
}

/// White noise through a filter that has settled, brought to a mean square of 1.
fn filtered(
    length: usize,
    rate_hz: f64,
    random: &mut Random,
    mut filter: impl FnMut(f64) -> f64,
) -> Vec<f64> {
    let settling_samples = (SETTLING_S * rate_hz) as usize;
    let sound: Vec<f64> = (0..settling_samples + length)
        .map(|_| filter(random.noise()))
        .skip(settling_samples)
        .collect();
    let power = sound.iter().map(|sample| sample * sample).sum::<f64>() / length.max(1) as f64;
    sound.into_iter().map(|sample| sample / power.sqrt()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::near;
    use crate::measurement::voices::conditions::tests::{joined, peak_hz, power_at_db, songs};
    use crate::measurement::voices::corpus::Sound;
    use crate::measurement::voices::signals::{noise, parts, power_db};

    #[test]
    fn sibilants_keep_their_energy_and_all_else_every_bit() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            for after in [lisping(song, 1), whistling(song, 1)] {
                let [old, new] = [song, &after].map(|one| above(&one.audio, rate_hz, FRICATION_HZ));
                for phone in &song.phones {
                    let span = phone.span.clone();
                    if phone.sound.is_sibilant() {
                        let change_db = power_db(&new[span.clone()]) - power_db(&old[span]);
                        assert!(change_db.abs() < 1.0, "{phone:?}: {change_db:.2} dB");
                    } else {
                        assert_eq!(after.audio[span.clone()], song.audio[span], "{phone:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn the_noise_swells_as_what_it_replaces() {
        let white = |seed| noise(seed).take(9600);
        let pattern: Vec<f32> = white(1)
            .enumerate()
            .map(|(sample, white)| if sample < 4800 { 0.1 * white } else { white })
            .collect();
        let noise: Vec<f64> = white(2).map(f64::from).collect();
        let shaped = enveloped(&noise, &pattern, 240);
        let [soft_db, loud_db] = [&shaped[..4700], &shaped[4900..]].map(power_db);
        near(loud_db - soft_db, 20.0, 0.5, "dB");
        assert!((power_db(&shaped) - power_db(&pattern)).abs() < 0.01);
    }

    #[test]
    fn what_lies_under_the_frication_stays() {
        let [_, song] = songs();
        let after = lisping(song, 1);
        let bars = |recording: &Recording| {
            let sound = joined(recording, Sound::VoicedSibilant);
            power_at_db(&sound, recording.sample_rate_hz, 250.0)
        };
        assert!((bars(&after) - bars(song)).abs() < 0.2);
    }

    #[test]
    fn a_lisp_is_flat_from_3_khz_on() {
        for (song, end_hz) in songs().iter().zip([6500.0, 10_000.0]) {
            let after = lisping(song, 1);
            let sound = parts(&after.audio, after.spans(Sound::is_sibilant));
            let low_db = power_at_db(&sound, after.sample_rate_hz, 4000.0);
            for hz in [5000.0, 6000.0, end_hz] {
                let change_db = power_at_db(&sound, after.sample_rate_hz, hz) - low_db;
                assert!(change_db.abs() < 3.0, "{hz} Hz: {change_db:.1} dB");
            }
        }
    }

    #[test]
    fn every_whistle_peaks_somewhere_else_from_3_to_12_khz() {
        for (song, high_hz) in songs().iter().zip([6720.0_f32, 12_000.0]) {
            let after = whistling(song, 1);
            let frication = above(&after.audio, after.sample_rate_hz, FRICATION_HZ);
            let sibilants = after.spans(Sound::is_sibilant).into_iter();
            let mut peaks_hz: Vec<f32> = sibilants
                .map(|span| peak_hz(&frication[span], after.sample_rate_hz))
                .collect();
            peaks_hz.sort_by(f32::total_cmp);
            let [first_hz, last_hz] = [peaks_hz[0], peaks_hz[peaks_hz.len() - 1]];
            assert!((2800.0..4000.0).contains(&first_hz), "{first_hz} Hz");
            assert!(
                (0.85 * high_hz..1.07 * high_hz).contains(&last_hz),
                "{last_hz} Hz"
            );
            let widest = peaks_hz
                .windows(2)
                .map(|pair| pair[1] / pair[0])
                .fold(1.0, f32::max);
            assert!(widest < 1.25, "nothing peaks within a ratio of {widest}");
        }
    }
}
