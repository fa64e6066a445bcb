//! What holds of every condition, and what their own tests share.

use std::sync::LazyLock;

use super::*;
use crate::measurement::levels::{k_weighted, lufs};
pub(crate) use crate::measurement::levels::{peak_hz, power_at_db};
use crate::measurement::voices::corpus::resample::to_rate;
use crate::measurement::voices::corpus::{Sound, from_song};
use crate::measurement::voices::signals::{parts, sine};
use crate::measurement::voices::singer::sing;

/// The same song at the lowest rate of the corpus and at that of a studio.
static SONGS: LazyLock<[Recording; 2]> = LazyLock::new(|| {
    let song = from_song(&sing(48_000.0, 1));
    [to_rate(&song, 16_000.0), song]
});

pub fn songs() -> &'static [Recording; 2] {
    &SONGS
}

/// A tone of half a full scale and of 2 s, without labels.
pub fn tone(hz: f64, rate_hz: f64) -> Recording {
    let sine = sine(hz, rate_hz, 2 * rate_hz as usize);
    let audio = sine.into_iter().map(|sample| 0.5 * sample).collect();
    Recording {
        sample_rate_hz: rate_hz,
        phones: Vec::new(),
        ..SONGS[0].with_audio(audio)
    }
}

/// What `after` holds beside `before`.
pub fn difference(after: &[f32], before: &[f32]) -> Vec<f32> {
    let before = before.iter().chain(std::iter::repeat(&0.0));
    after.iter().zip(before).map(|(one, other)| one - other).collect()
}

/// K-weighted level of a sound, LUFS.
pub fn level_lufs(audio: &[f32], rate_hz: f64) -> f64 {
    f64::from(lufs(&k_weighted(audio, rate_hz)))
}

/// All sound of one kind, end to end.
pub fn joined(recording: &Recording, sound: Sound) -> Vec<f32> {
    parts(&recording.audio, recording.spans(|known| known == sound))
}

#[test]
fn names_tell_them_apart_and_each_is_described() {
    assert_eq!(Condition::value_variants().len(), 24);
    assert_eq!(Condition::HiHatBleed.name(), "hi-hat-bleed");
    for condition in Condition::value_variants() {
        assert!(condition.describe().len() > 10, "{condition:?}");
    }
}

#[test]
fn every_condition_changes_the_sound_and_is_the_same_for_the_same_seed() {
    for song in songs() {
        for condition in Condition::value_variants() {
            let name = condition.name();
            let [once, again] = [7, 7].map(|seed| condition.apply(song, seed));
            assert_eq!(once.audio, again.audio, "{name}");
            assert_eq!(once.phones, again.phones, "{name}");
            assert_ne!(once.audio, song.audio, "{name}");
            assert!(once.audio.iter().all(|sample| sample.is_finite()), "{name}");
            if !condition.moves_sounds() {
                assert_eq!(once.audio.len(), song.audio.len(), "{name}");
            }
            assert_eq!(once.sample_rate_hz, song.sample_rate_hz);
            // Labels stay but where a breath is added or sounds are moved.
            let labels_stay = *condition != Condition::CloseBreaths && !condition.moves_sounds();
            assert_eq!(once.phones == song.phones, labels_stay, "{name}");
        }
    }
}

#[test]
fn another_seed_makes_other_noise() {
    let fixed = [
        Condition::DarkMicrophone,
        Condition::BrightMicrophone,
        Condition::DistortedDouble,
        Condition::HardLevelled,
        Condition::BriskSpeech,
        Condition::FastSpeech,
        Condition::ThirdUp,
        Condition::FifthUp,
        Condition::OctaveUp,
        Condition::Growled,
        Condition::LoweredSibilants,
    ];
    let [song, _] = songs();
    for condition in Condition::value_variants() {
        let same = condition.apply(song, 1).audio == condition.apply(song, 2).audio;
        assert_eq!(same, fixed.contains(condition), "{}", condition.name());
    }
}

#[test]
fn another_recording_gets_other_noise_from_the_same_seed() {
    let [song, _] = songs();
    let other = Recording {
        name: "another".into(),
        ..song.clone()
    };
    assert_ne!(
        Condition::Hiss.apply(song, 1).audio,
        Condition::Hiss.apply(&other, 1).audio
    );
}

#[test]
fn silence_and_a_voice_without_labels_stay_finite() {
    let silence = tone(200.0, 16_000.0).with_audio(vec![0.0; 16_000]);
    for condition in Condition::value_variants() {
        for recording in [&silence, &tone(200.0, 192_000.0)] {
            let audio = condition.apply(recording, 1).audio;
            assert!(
                audio.iter().all(|sample| sample.is_finite()),
                "{}",
                condition.name()
            );
        }
    }
}
