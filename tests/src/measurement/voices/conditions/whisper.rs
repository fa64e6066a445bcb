//! A whispered line.

use std::f64::consts::{PI, TAU};
use std::ops::Range;

use super::level::{at_level, exchange};
use super::linear_prediction::{predictor, residual, synthesis};
use crate::measurement::levels::{above, k_weighted, lufs};
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::singer::random::Random;

/// Level of a whisper re the same sound voiced, LU: common practice, no source.
const LEVEL_LU: f64 = -15.0;
/// Length of a frame, s: common practice for speech.
const FRAME_S: f64 = 0.025;
/// Below this a whisper loses 6 dB an octave against a voice, Hz (from memory).
const TILT_HZ: f64 = 1000.0;
/// What lies below is the room's, Hz, and stays: cut off at the edge of a label, rumble or an offset would click.
const RUMBLE_HZ: f64 = 50.0;
/// From the sound before and to the one after, s: the voice that is left in it must not be heard against the whisper.
const CROSSFADE_S: f64 = 0.001;

/// Vowels and sonorants with noise in place of the voice; every other sound stays as it is. Where none is labelled
/// nothing changes.
pub fn whispered(recording: &Recording, seed: u64) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let mut random = Random::new(seed, 5);
    let band = above(&recording.audio, rate_hz, RUMBLE_HZ);
    let weighted = k_weighted(&band, rate_hz);
    let mut audio = recording.audio.clone();
    for span in voiced(recording) {
        let old = &band[span.clone()];
        let level_lufs = f64::from(lufs(&weighted[span.clone()])) + LEVEL_LU;
        let whisper = whisper(old, rate_hz, &mut random);
        let new = at_level(&whisper, rate_hz, 0..whisper.len(), level_lufs);
        exchange(&mut audio[span], old, &new, CROSSFADE_S * rate_hz);
    }
    recording.with_audio(audio)
}

/// Where vowels and sonorants follow one another without a gap, in samples; what is silent has nothing to whisper.
fn voiced(recording: &Recording) -> Vec<Range<usize>> {
    let mut spans: Vec<Range<usize>> = Vec::new();
    for phone in &recording.phones {
        if !phone.sound.is_voice() {
            continue;
        }
        match spans.last_mut() {
            Some(last) if last.end == phone.span.start => last.end = phone.span.end,
            _ => spans.push(phone.span.clone()),
        }
    }
    spans.retain(|span| recording.audio[span.clone()].iter().any(|sample| *sample != 0.0));
    spans
}

/// The sound with white noise in place of what excites the mouth, at no level in particular.
fn whisper(sound: &[f32], rate_hz: f64, random: &mut Random) -> Vec<f32> {
    let half = (FRAME_S * rate_hz / 2.0) as usize;
    let order = (rate_hz / 1000.0) as usize + 2;
    // The squares of the windows that overlap add up to 1, as the powers of noises do.
    let window: Vec<f64> = (0..2 * half)
        .map(|sample| (PI * (sample as f64 + 0.5) / (2 * half) as f64).sin())
        .collect();
    let mut whisper = vec![0.0; sound.len() + 4 * half];
    for start in (0..sound.len() + half).step_by(half) {
        // Each frame begins half its length before its place in the sound.
        let sample = |at: usize| {
            at.checked_sub(half)
                .and_then(|at| sound.get(at))
                .copied()
                .unwrap_or_default()
        };
        let frame: Vec<f64> = window
            .iter()
            .enumerate()
            .map(|(at, weight)| weight * f64::from(sample(start + at)))
            .collect();
        let whispered = whispered_frame(&frame, &window, order, random);
        for (sum, sample) in whisper[start..].iter_mut().zip(whispered) {
            *sum += sample;
        }
    }
    tilted(&whisper[half..half + sound.len()], rate_hz)
}

/// One frame, which rings on for as long as it is.
fn whispered_frame(frame: &[f64], window: &[f64], order: usize, random: &mut Random) -> Vec<f64> {
    let coefficients = predictor(frame, order);
    let energy = |sound: &[f64]| sound.iter().map(|sample| sample * sample).sum::<f64>();
    let noise: Vec<f64> = window.iter().map(|weight| weight * random.noise()).collect();
    let gain = (energy(&residual(frame, &coefficients)) / energy(&noise)).sqrt();
    let excitation: Vec<f64> = noise.iter().map(|sample| gain * sample).collect();
    synthesis(&excitation, &coefficients, frame.len())
}

/// The sound less what lies below 1 kHz, by 6 dB an octave.
fn tilted(sound: &[f64], rate_hz: f64) -> Vec<f32> {
    let share = 1.0 - (-TAU * TILT_HZ / rate_hz).exp();
    let mut low = 0.0;
    sound
        .iter()
        .map(|sample| {
            low += share * (sample - low);
            (sample - low) as f32
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::{mean, near};
    use crate::measurement::voices::conditions::tests::{difference, joined, level_lufs, power_at_db, songs};
    use crate::measurement::voices::corpus::Sound;
    use crate::measurement::voices::signals::noise;

    /// Greatest normalised autocorrelation at the periods of a voice of 80 to 400 Hz.
    fn periodicity(sound: &[f32], rate_hz: f64) -> f32 {
        let [shortest, longest] = [400.0, 80.0].map(|hz| (rate_hz / hz) as usize);
        let product =
            |one: &[f32], other: &[f32]| one.iter().zip(other).map(|(one, other)| one * other).sum::<f32>();
        (shortest..longest)
            .map(|lag| {
                let (early, late) = (&sound[..sound.len() - lag], &sound[lag..]);
                product(early, late) / (product(early, early) * product(late, late)).sqrt()
            })
            .fold(0.0, f32::max)
    }

    /// Mean over 50 ms frames of the vowels.
    fn vowel_periodicity(recording: &Recording) -> f32 {
        let frame_samples = (0.05 * recording.sample_rate_hz) as usize;
        let frames: Vec<f32> = recording
            .of(Sound::Vowel)
            .flat_map(|vowel| recording.audio[vowel.span.clone()].chunks_exact(frame_samples))
            .map(|frame| periodicity(frame, recording.sample_rate_hz))
            .collect();
        mean(&frames)
    }

    #[test]
    fn the_voice_is_gone() {
        for song in songs() {
            let [before, after] = [song, &whispered(song, 1)].map(vowel_periodicity);
            assert!(before > 0.8, "{before}");
            assert!(after < 0.5, "{after}");
        }
    }

    #[test]
    fn every_stretch_of_voice_is_15_lu_softer() {
        for song in songs() {
            let after = whispered(song, 1);
            for span in voiced(song) {
                let [before_lufs, after_lufs] =
                    [song, &after].map(|one| level_lufs(&one.audio[span.clone()], song.sample_rate_hz));
                let change_lu = after_lufs - before_lufs;
                assert!((change_lu + 15.0).abs() < 1.0, "{span:?}: {change_lu:.2} LU");
            }
        }
    }

    #[test]
    fn the_vowels_keep_their_colour() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let [before, after] = [song, &whispered(song, 1)].map(|one| joined(one, Sound::Vowel));
            let change_db = |hz| power_at_db(&after, rate_hz, hz) - power_at_db(&before, rate_hz, hz);
            for hz in [1500.0, 4000.0] {
                let change_db = change_db(hz) - change_db(2500.0);
                assert!(change_db.abs() < 3.0, "{hz} Hz: {change_db:.1} dB");
            }
        }
    }

    #[test]
    fn the_tilt_takes_6_db_an_octave_below_1_khz() {
        for rate_hz in [16_000.0, 48_000.0] {
            let white: Vec<f64> = noise(1).take(400_000).map(f64::from).collect();
            let after = tilted(&white, rate_hz);
            let change_db = |hz| power_at_db(&after, rate_hz, hz) - power_at_db(&after, rate_hz, 5000.0);
            // A pole at 1 kHz: 10 log10(1 + (1000 / f)^2), and what it leaves undone at 5 kHz, 0.2 dB.
            for (hz, asked_db) in [(250.0, -12.1), (500.0, -6.8), (1000.0, -2.8)] {
                near(change_db(hz), asked_db, 1.0, (hz, rate_hz));
            }
        }
    }

    #[test]
    fn an_offset_stays_and_does_not_click() {
        let [_, song] = songs();
        let offset = 0.05;
        let lifted = song.with_audio(song.audio.iter().map(|sample| sample + offset).collect());
        let added = difference(&whispered(&lifted, 1).audio, &whispered(song, 1).audio);
        assert!(added.iter().all(|sample| (sample - offset).abs() < 0.01));
    }

    #[test]
    fn every_other_sound_stays_as_it_is() {
        for song in songs() {
            let after = whispered(song, 1);
            for phone in &song.phones {
                if !phone.sound.is_voice() {
                    assert_eq!(
                        after.audio[phone.span.clone()],
                        song.audio[phone.span.clone()],
                        "{phone:?}"
                    );
                }
            }
        }
    }
}
