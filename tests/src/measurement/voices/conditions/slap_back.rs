//! One echo of the voice.

use super::level::{at_voice_level, mixed, scaled};
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::singer::random::Random;

/// How late a slap-back is, s, and its level, dB: common practice, no source.
const LATE_S: [f64; 2] = [0.06, 0.4];
const LEVEL_DB: [f64; 2] = [-14.0, -6.0];

/// The recording with an echo of random delay and level, as loud as before.
pub fn add(recording: &Recording, seed: u64) -> Recording {
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
    use crate::measurement::voices::conditions::tests::tone;

    #[test]
    fn a_click_comes_back_once_60_to_400_ms_later_and_6_to_14_db_softer() {
        for seed in 1..20 {
            let mut audio = vec![0.0; 48_000];
            audio[4800] = 0.5;
            let after = add(&tone(200.0, 48_000.0).with_audio(audio), seed).audio;
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
