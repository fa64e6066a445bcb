//! The singer's song as a labelled recording.

use super::recording::{Origin, Phone, Precision, Recording, Sound};
use crate::measurement::voices::singer::{Kind, Label, Song};

/// The song with its labels, exact to the sample. The burst of t counts as a stop here: whether it is strong enough
/// to be tamed is no question of what was sung.
pub fn from_song(song: &Song) -> Recording {
    Recording {
        name: "song".into(),
        source: "siskin-tests, the seeded singer".into(),
        origin: Origin::Synthetic,
        language: "en".into(),
        precision: Precision::Exact,
        sample_rate_hz: song.sample_rate_hz,
        audio: song.audio.clone(),
        phones: song.labels.iter().map(phone).collect(),
    }
}

fn phone(label: &Label) -> Phone {
    Phone::new(label.symbol, sound(label), label.start..label.end)
}

fn sound(label: &Label) -> Sound {
    match (label.kind, label.symbol) {
        (Kind::Vowel, _) => Sound::Vowel,
        (Kind::Sonorant, _) => Sound::Sonorant,
        (Kind::Sibilant, "z" | "zh" | "j") => Sound::VoicedSibilant,
        (Kind::Sibilant, "t") | (Kind::Stop, _) => Sound::Stop,
        (Kind::Sibilant, _) => Sound::Sibilant,
        (Kind::Fricative, _) => Sound::WeakFricative,
        (Kind::Breath, _) => Sound::Breath,
        (Kind::Rest, _) => Sound::Rest,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::singer::sing;

    #[test]
    fn every_label_keeps_its_place_and_the_symbols_their_sounds() {
        let song = sing(48_000.0, 1);
        let recording = from_song(&song);
        assert_eq!(recording.audio, song.audio);
        assert_eq!(recording.phones.len(), song.labels.len());
        for (phone, label) in recording.phones.iter().zip(&song.labels) {
            assert_eq!(phone.span, label.start..label.end);
            assert_eq!(phone.symbol, label.symbol);
        }
        for (sound, symbols) in [
            (Sound::Sibilant, &["ch", "s", "sh"][..]),
            (Sound::VoicedSibilant, &["j", "z", "zh"]),
            (Sound::Breath, &["breath"]),
            (Sound::Rest, &["rest"]),
        ] {
            let mut found: Vec<&str> = recording.of(sound).map(|phone| phone.symbol.as_str()).collect();
            found.sort_unstable();
            found.dedup();
            assert!(
                !found.is_empty() && found.iter().all(|symbol| symbols.contains(symbol)),
                "{sound:?}: {found:?}"
            );
        }
        let bursts = recording.of(Sound::Stop).filter(|phone| phone.symbol == "t");
        assert!(bursts.count() > 20);
    }
}
