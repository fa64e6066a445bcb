//! The tail of a room under the voice, and one echo of it.

use super::level::{Voice, at_voice_level, mixed, scaled};
use crate::measurement::levels::{inverse_transform, transform};
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::singer::random::Random;

/// RT60 of rooms and plates on voices, s, drawn evenly on a scale of ratios, and level of the reverb re the direct
/// sound, LU: common practice for vocals, no source.
const RT60_S: [f64; 2] = [0.3, 2.5];
const LEVEL_LU: [f64; 2] = [-20.0, -6.0];
/// Reverb that was recorded with the voice, s and LU: common practice, no source.
const BAKED_RT60_S: f64 = 1.2;
const BAKED_LEVEL_LU: f64 = -12.0;
/// The impulse response ends where it has fallen by this much, as a share of RT60 (72 dB).
const LENGTH_RT60: f64 = 1.2;

/// A tail of a random length at a random level; both stay for the whole recording.
pub fn tails(recording: &Recording, seed: u64) -> Recording {
    let mut random = Random::new(seed, 11);
    let rt60_s = random.between(RT60_S[0].ln(), RT60_S[1].ln()).exp();
    let level_lu = random.between(LEVEL_LU[0], LEVEL_LU[1]);
    room(recording, rt60_s, level_lu, &mut random)
}

/// The tail of one medium room.
pub fn baked(recording: &Recording, seed: u64) -> Recording {
    room(
        recording,
        BAKED_RT60_S,
        BAKED_LEVEL_LU,
        &mut Random::new(seed, 12),
    )
}

/// The recording with a diffuse tail whose K-weighted level over the voice lies `level_lu` from the direct sound, as
/// loud as before.
fn room(recording: &Recording, rt60_s: f64, level_lu: f64, random: &mut Random) -> Recording {
    let impulse = impulse(rt60_s, recording.sample_rate_hz, random);
    let tail = recording.with_audio(convolved(&recording.audio, &impulse));
    let [direct_lufs, tail_lufs] = [recording, &tail].map(|recording| Voice::of(recording).lufs());
    if !direct_lufs.is_finite() || !tail_lufs.is_finite() {
        return recording.clone();
    }
    let tail = scaled(&tail.audio, direct_lufs + level_lu - tail_lufs);
    at_voice_level(recording, mixed(recording, &tail).audio)
}

/// White noise that decays by 60 dB in `rt60_s`.
fn impulse(rt60_s: f64, rate_hz: f64, random: &mut Random) -> Vec<f32> {
    let decay = 1000_f64.ln() / (rt60_s * rate_hz);
    (0..(LENGTH_RT60 * rt60_s * rate_hz) as usize)
        .map(|sample| (random.noise() * (-decay * sample as f64).exp()) as f32)
        .collect()
}

/// The sound through an impulse response, as long as the sound: one Fourier transform of the whole.
fn convolved(audio: &[f32], impulse: &[f32]) -> Vec<f32> {
    let length = (audio.len() + impulse.len()).next_power_of_two();
    let mut product = transform(audio, length);
    for (bin, response) in product.iter_mut().zip(transform(impulse, length)) {
        *bin *= response / length as f64;
    }
    inverse_transform(product, length, audio.len())
}

/// How late a slap-back is, s, and its level, dB: common practice, no source.
const LATE_S: [f64; 2] = [0.06, 0.4];
const LEVEL_DB: [f64; 2] = [-14.0, -6.0];

/// The recording with an echo of random delay and level, as loud as before.
pub fn slap_back(recording: &Recording, seed: u64) -> Recording {
    let mut random = Random::new(seed, 13);
    let late_s = random.between(LATE_S[0].ln(), LATE_S[1].ln()).exp();
    let echo = scaled(&recording.audio, random.between(LEVEL_DB[0], LEVEL_DB[1]));
    let late = std::iter::repeat_n(0.0, (late_s * recording.sample_rate_hz) as usize);
    let late: Vec<f32> = late.chain(echo).collect();
    at_voice_level(recording, mixed(recording, &late).audio)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::{songs, tone};
    use crate::measurement::voices::signals::{noise, power_db};

    #[test]
    fn a_click_decays_by_60_db_in_its_rt60() {
        let rate_hz = 48_000.0;
        let mut click = vec![0.0; 96_000];
        click[100] = 1.0;
        let tail = convolved(&click, &impulse(1.0, rate_hz, &mut Random::new(1, 0)));
        assert!(power_db(&tail[..100]) < -120.0, "nothing comes before the click");
        let level_db = |s: f64| power_db(&tail[(s * rate_hz) as usize..][..4800]);
        let fall_db = level_db(0.1) - level_db(0.6);
        assert!((fall_db - 30.0).abs() < 1.5, "{fall_db:.1} dB in half of it");
    }

    #[test]
    fn a_tail_lies_at_its_level_under_a_voice_that_is_as_loud_as_before() {
        for song in songs() {
            let after = room(song, 0.5, -10.0, &mut Random::new(3, 0));
            let [before_lufs, after_lufs] = [song, &after].map(|one| Voice::of(one).lufs());
            assert!((before_lufs - after_lufs).abs() < 0.05);
            // Direct sound and tail are not in phase: 10 log10(1 + 0.1) of what is there is the tail.
            let gain = 10_f64.powf(-0.41 / 20.0) as f32;
            let tail: Vec<f32> = after
                .audio
                .iter()
                .zip(&song.audio)
                .map(|(a, b)| a - gain * b)
                .collect();
            let under_lu = Voice::of(&song.with_audio(tail)).lufs() - before_lufs;
            assert!((under_lu + 10.4).abs() < 1.0, "{under_lu:.1} LU");
        }
    }

    #[test]
    fn what_follows_a_burst_falls_as_slowly_as_the_room() {
        let mut sound = tone(300.0, 48_000.0);
        // Noise and not a tone: one frequency of a tail fades up and down while it decays.
        sound.audio[..48_000]
            .iter_mut()
            .zip(noise(9))
            .for_each(|(sample, noise)| *sample = 0.3 * noise);
        sound.audio[48_000..].fill(0.0);
        let after = baked(&sound, 1).audio;
        let level_db = |s: f64| power_db(&after[(s * 48_000.0) as usize..][..4800]);
        let fall_db = level_db(1.1) - level_db(1.7);
        assert!((fall_db - 30.0).abs() < 3.0, "{fall_db:.1} dB in 0.6 s");
    }

    #[test]
    fn a_click_comes_back_once_60_to_400_ms_later_and_6_to_14_db_softer() {
        for seed in 1..20 {
            let mut audio = vec![0.0; 48_000];
            audio[4800] = 0.5;
            let after = slap_back(&tone(200.0, 48_000.0).with_audio(audio), seed).audio;
            let clicks: Vec<usize> = (0..48_000).filter(|sample| after[*sample] != 0.0).collect();
            let [first, echo] = clicks[..] else {
                panic!("{clicks:?}")
            };
            assert_eq!(first, 4800);
            assert!((2879..=19_200).contains(&(echo - first)), "{clicks:?}");
            let level_db = 20.0 * (after[echo] / after[first]).log10();
            assert!((-14.1..=-5.9).contains(&level_db), "{level_db} dB");
        }
    }
}
