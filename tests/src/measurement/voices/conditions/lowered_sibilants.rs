//! Sibilants far softer than the mouth made them.

use super::exchange::exchange;
use super::level::scaled;
use crate::measurement::voices::corpus::Recording;

/// So much softer, dB: what another stage before this one can take away at most (common practice, no source).
const LOWERED_DB: f64 = -15.0;
/// From the sound before and to the one after, s.
const CROSSFADE_S: f64 = 0.005;

/// Every labelled sibilant 15 dB softer: a voice level that follows the voice alone does not move.
pub fn lowered(recording: &Recording) -> Recording {
    let mut audio = recording.audio.clone();
    for phone in recording.phones.iter().filter(|phone| phone.sound.is_sibilant()) {
        let old = &recording.audio[phone.span.clone()];
        let fade_samples = CROSSFADE_S * recording.sample_rate_hz;
        exchange(
            &mut audio[phone.span.clone()],
            old,
            &scaled(old, LOWERED_DB),
            fade_samples,
        );
    }
    recording.with_audio(audio)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::{joined, level_lufs, songs};
    use crate::measurement::voices::corpus::Sound;

    #[test]
    fn sibilants_are_15_db_softer_and_vowels_as_they_were() {
        for song in songs() {
            let after = lowered(song);
            assert_eq!(joined(&after, Sound::Vowel), joined(song, Sound::Vowel));
            let [before, after] =
                [song, &after].map(|one| level_lufs(&joined(one, Sound::Sibilant), one.sample_rate_hz));
            let change_lu = after - before;
            // Less than all of it: the edges fade.
            assert!((-15.0..-13.0).contains(&change_lu), "{change_lu:.1} LU");
        }
    }
}
