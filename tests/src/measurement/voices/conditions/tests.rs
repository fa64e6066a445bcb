//! What holds of every condition, and what their own tests share.

use std::sync::LazyLock;

use super::*;
use crate::measurement::levels::{k_weighted, lufs, spectrum_db};
use crate::measurement::voices::corpus::resample::to_rate;
use crate::measurement::voices::corpus::{Sound, from_song};
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
    let audio = (0..2 * rate_hz as usize)
        .map(|n| (0.5 * (std::f64::consts::TAU * hz * n as f64 / rate_hz).sin()) as f32)
        .collect();
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

/// Power about a frequency, dB.
pub fn power_at_db(audio: &[f32], rate_hz: f64, hz: f64) -> f32 {
    let spectrum = spectrum_db(audio, rate_hz);
    let bin = spectrum.iter().find(|bin| f64::from(bin.0) >= hz);
    bin.unwrap().1
}

/// Frequency of the greatest power, Hz.
pub fn peak_hz(audio: &[f32], rate_hz: f64) -> f32 {
    let spectrum = spectrum_db(audio, rate_hz);
    let peak = spectrum.iter().max_by(|one, other| one.1.total_cmp(&other.1));
    peak.unwrap().0
}

/// K-weighted level of a sound, LUFS.
pub fn level_lufs(audio: &[f32], rate_hz: f64) -> f64 {
    f64::from(lufs(&k_weighted(audio, rate_hz)))
}

/// All sound of one kind, end to end.
pub fn joined(recording: &Recording, sound: Sound) -> Vec<f32> {
    let phones = recording.of(sound);
    phones
        .flat_map(|phone| &recording.audio[phone.span.clone()])
        .copied()
        .collect()
}

#[test]
fn names_are_kebab_case_and_tell_them_apart() {
    let mut names: Vec<&str> = Condition::ALL.iter().map(Condition::name).collect();
    for name in &names {
        assert!(
            name.chars()
                .all(|letter| letter.is_ascii_lowercase() || letter == '-'),
            "{name}"
        );
    }
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), 24);
}

#[test]
fn every_condition_changes_the_sound_and_is_the_same_for_the_same_seed() {
    for song in songs() {
        for condition in Condition::ALL {
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
    for condition in Condition::ALL {
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
fn labels_stay_but_where_a_breath_is_added_or_sounds_are_moved() {
    for song in songs() {
        for condition in Condition::ALL {
            let same = condition.apply(song, 1).phones == song.phones;
            assert_eq!(
                same,
                *condition != Condition::CloseBreaths && !condition.moves_sounds(),
                "{}",
                condition.name()
            );
        }
    }
}

#[test]
fn silence_and_a_voice_without_labels_stay_finite() {
    let silence = tone(200.0, 16_000.0).with_audio(vec![0.0; 16_000]);
    for condition in Condition::ALL {
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
