//! A growled line.

use std::f64::consts::TAU;
use std::ops::Range;

use super::level::at_voice_level;
use crate::measurement::voices::corpus::{Recording, Sound};
use crate::measurement::voices::singer::fricatives::raised_cosine;

/// The false folds beat once every second period of the voice (Sakakibara et al. 2004, from memory), and let this
/// share through where they are closed: common practice, no source.
const PERIODS: f64 = 2.0;
const CLOSED: f64 = 0.2;
/// They are open for less than half of the beat: the wave is a cosine bent by this power (no source).
const SHARPNESS: i32 = 3;
/// A voice's pitch, Hz, where a vowel's is looked for, and over what stretch of its middle, s.
const PITCH_HZ: [f64; 2] = [70.0, 600.0];
const STRETCH_S: f64 = 0.06;
/// A vowel goes into the growl and out of it, s.
const FADE_S: f64 = 0.02;

/// Every vowel modulated at half its pitch; as loud as before. Where none is labelled nothing changes.
pub fn growled(recording: &Recording) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let mut audio = recording.audio.clone();
    for vowel in recording.of(Sound::Vowel) {
        let span = vowel.span.clone();
        let Some(pitch_hz) = pitch_hz(&recording.audio, &span, rate_hz) else {
            continue;
        };
        let length = span.len();
        for (index, sample) in audio[span].iter_mut().enumerate() {
            let phase = TAU * pitch_hz / PERIODS * index as f64 / rate_hz;
            let open = (0.5 + 0.5 * phase.cos()).powi(SHARPNESS);
            let from_edge = index.min(length - 1 - index) as f64 / (FADE_S * rate_hz);
            let share = 1.0 - raised_cosine(from_edge) * (1.0 - CLOSED) * (1.0 - open);
            *sample *= share as f32;
        }
    }
    at_voice_level(recording, audio)
}

/// The pitch in the middle of a vowel: the shortest period whose autocorrelation is near the best.
fn pitch_hz(audio: &[f32], vowel: &Range<usize>, rate_hz: f64) -> Option<f64> {
    let [shortest, longest] = [PITCH_HZ[1], PITCH_HZ[0]].map(|hz| (rate_hz / hz) as usize);
    let stretch = (STRETCH_S * rate_hz) as usize;
    let middle = vowel.start.midpoint(vowel.end);
    let start = middle.saturating_sub((stretch + longest) / 2);
    let sound = audio.get(start..start + stretch + longest)?;
    let likeness = |lag: usize| -> f64 {
        let pairs = sound[..stretch].iter().zip(&sound[lag..lag + stretch]);
        let (product, energy) = pairs.fold((0.0, 0.0), |(product, energy), (a, b)| {
            (product + f64::from(a * b), energy + f64::from(b * b))
        });
        product / f64::sqrt(energy.max(1e-20))
    };
    let likeness: Vec<f64> = (shortest..longest).map(likeness).collect();
    let best = likeness.iter().copied().fold(0.0, f64::max);
    let is_peak = |lags: &[f64]| lags[1] > 0.9 * best && lags[1] >= lags[0] && lags[1] >= lags[2];
    let first = likeness.windows(3).position(is_peak)?;
    (best > 0.0).then(|| rate_hz / (shortest + 1 + first) as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::level::Voice;
    use crate::measurement::voices::conditions::tests::{power_at_db, songs, tone};
    use crate::measurement::voices::corpus::Phone;

    #[test]
    fn a_vowel_gets_a_tone_at_half_its_pitch() {
        let mut vowel = tone(200.0, 48_000.0);
        vowel.phones = vec![Phone::new("a", Sound::Vowel, 0..96_000)];
        let before_db = power_at_db(&vowel.audio, 48_000.0, 100.0);
        let after = growled(&vowel).audio;
        let re_tone_db = power_at_db(&after, 48_000.0, 100.0) - power_at_db(&after, 48_000.0, 200.0);
        assert!(
            (-9.0..-3.0).contains(&re_tone_db),
            "{re_tone_db:.1} dB, {before_db:.1} before"
        );
    }

    #[test]
    fn every_other_sound_stays_and_the_voice_is_as_loud() {
        for song in songs() {
            let after = growled(song);
            let change_lu = Voice::of(&after).lufs() - Voice::of(song).lufs();
            assert!(change_lu.abs() < 0.1, "{change_lu} LU");
            let sibilant = song.of(Sound::Sibilant).next().unwrap().span.clone();
            let change: Vec<f32> = sibilant
                .map(|sample| after.audio[sample] / song.audio[sample])
                .filter(|ratio| ratio.is_finite())
                .collect();
            assert!(change.iter().all(|ratio| (ratio - change[0]).abs() < 1e-3));
        }
    }
}
