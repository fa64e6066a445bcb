//! Assigns a class to a hop from its features. All features are ratios, so the class does not depend on level.

use crate::clock::timing::Timing;
use crate::report::Class;

use super::treble_rise::TrebleRise;
use super::voice_spectrum::BandDeviation;

/// Scores at which a sibilant begins and ends. These two, and every other constant of the analysis without a source, were
/// found by a search on about 280 labelled recordings, real and synthetic, clean and in twelve difficult conditions.
/// `cargo xtask score` measures them on other texts.
const SIBILANT_ON_DB: f32 = 17.0;
const SIBILANT_OFF_DB: f32 = 8.0;
/// Sharpness that a noise needs to become a sibilant, and to remain one.
const SHARPNESS_ON_DB: f32 = 2.5;
const SHARPNESS_OFF_DB: f32 = 1.5;
/// Offset of the upper band against the high band: its level also varies with the formants of vowels.
const UPPER_OFFSET_DB: f32 = 4.0;
/// Weight of the formants: in a reverberant room or in a z they fall by less than the treble rises.
const FORMANTS_WEIGHT: f32 = 0.5;
/// How much the score falls from periodicity 0 to 1.
const PERIODICITY_PENALTY_DB: f32 = 8.0;
/// The periodicity without effect on the score: noise reads lower, a voice higher.
const NEUTRAL_PERIODICITY: f32 = 0.5;
/// Similarity of the treble to itself a period before, above which it belongs to a bright vowel: on the tuning voices the treble
/// of a z reads 0.1 to 0.6, that of vowels with harmonics up to 14 kHz 0.8 to 1. How much the score falls from there to 1.
const PULSING_ABOVE: f32 = 0.7;
const PULSING_PENALTY_DB: f32 = 18.0;
/// Below this periodicity there is no period to compare with.
const PULSING_PERIODICITY: f32 = 0.4;
/// Periodicity at which a voice begins and ends.
const VOICED_ON: f32 = 0.55;
const VOICED_OFF: f32 = 0.4;

/// The features of a hop.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Features {
    /// Nothing but background noise.
    pub background: bool,
    /// Band levels relative to the spectrum of the voice.
    pub deviation: BandDeviation,
    /// Sharpness of the current noise, dB.
    pub sharpness_db: f32,
    /// Periodicity of the low band, 0 ... 1.
    pub periodicity: f32,
}

impl Features {
    /// Treble relative to the treble of the voice, dB.
    fn treble_db(&self) -> f32 {
        self.deviation
            .high_db
            .max(self.deviation.upper_db - UPPER_OFFSET_DB)
    }

    /// The evidence for a sibilant, dB; about 0 for the voice itself.
    fn sibilant_score_db(&self) -> f32 {
        self.treble_db()
            - FORMANTS_WEIGHT * self.deviation.formants_db
            - PERIODICITY_PENALTY_DB * (self.periodicity - NEUTRAL_PERIODICITY)
    }
}

/// The state of the classifier: the last class, and how the treble rises.
pub(crate) struct Classifier {
    class: Class,
    rise: TrebleRise,
}

impl Classifier {
    pub fn new(timing: Timing) -> Self {
        Self {
            class: Class::Quiet,
            rise: TrebleRise::new(timing),
        }
    }

    pub fn reset(&mut self) {
        self.class = Class::Quiet;
        self.rise.reset();
    }

    /// True if the last hop was noise: a sibilant or a breath.
    pub fn last_was_noise(&self) -> bool {
        matches!(self.class, Class::Sibilant | Class::Breath)
    }

    /// The class of the next hop. `pulsing` is the similarity of its treble to itself a period before, -1 ... 1, computed
    /// only where the class depends on it.
    pub fn classify(&mut self, features: &Features, pulsing: impl FnOnce() -> f32) -> Class {
        let voiced_above = if self.class == Class::Voice {
            VOICED_OFF
        } else {
            VOICED_ON
        };
        let rise_db = self.rise.score_db(features.treble_db());
        self.class = if features.background {
            Class::Quiet
        } else if self.is_sibilant(features, rise_db, pulsing) {
            Class::Sibilant
        } else if features.periodicity > voiced_above {
            Class::Voice
        } else {
            Class::Breath
        };
        self.rise.update_class(self.class == Class::Sibilant);
        self.class
    }

    fn is_sibilant(&self, features: &Features, rise_db: f32, pulsing: impl FnOnce() -> f32) -> bool {
        let (score_db, needed_db, needed_sharpness_db) = if self.class == Class::Sibilant {
            (features.sibilant_score_db(), SIBILANT_OFF_DB, SHARPNESS_OFF_DB)
        } else {
            let score_db = features.sibilant_score_db() + rise_db;
            (score_db, SIBILANT_ON_DB, SHARPNESS_ON_DB)
        };
        if score_db <= needed_db || features.sharpness_db <= needed_sharpness_db {
            return false;
        }
        features.periodicity <= PULSING_PERIODICITY || score_db - pulsing_penalty_db(pulsing()) > needed_db
    }
}

/// What pulses of the treble take from the score, dB.
fn pulsing_penalty_db(pulsing: f32) -> f32 {
    PULSING_PENALTY_DB * ((pulsing - PULSING_ABOVE) / (1.0 - PULSING_ABOVE)).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    const VOWEL: Features = Features {
        background: false,
        deviation: BandDeviation {
            formants_db: 0.0,
            upper_db: 0.0,
            high_db: 0.0,
        },
        sharpness_db: -12.0,
        periodicity: 0.95,
    };
    const S: Features = Features {
        background: false,
        deviation: BandDeviation {
            formants_db: -20.0,
            upper_db: 2.0,
            high_db: 18.0,
        },
        sharpness_db: 12.0,
        periodicity: 0.3,
    };

    fn classify(features: &[Features]) -> Class {
        let mut classifier = Classifier::new(Timing::new(48_000.0));
        features
            .iter()
            .map(|features| classifier.classify(features, || 0.0))
            .last()
            .unwrap_or_default()
    }

    #[test]
    fn features_give_the_expected_class() {
        assert_eq!(classify(&[VOWEL]), Class::Voice);
        assert_eq!(classify(&[S]), Class::Sibilant);
        let z = Features {
            periodicity: 0.9,
            ..S
        };
        assert_eq!(classify(&[z]), Class::Sibilant);
        let breath = Features {
            sharpness_db: -2.0,
            ..S
        };
        assert_eq!(classify(&[breath]), Class::Breath);
        assert_eq!(
            classify(&[Features {
                background: true,
                ..S
            }]),
            Class::Quiet
        );
    }

    #[test]
    fn a_sibilant_ends_at_a_lower_score_than_it_begins() {
        let fading = Features {
            deviation: BandDeviation {
                formants_db: -10.0,
                upper_db: 0.0,
                high_db: 8.0,
            },
            ..S
        };
        assert_eq!(classify(&[S, fading]), Class::Sibilant);
        assert_ne!(classify(&[VOWEL, VOWEL, VOWEL, fading, fading]), Class::Sibilant);
        assert_eq!(classify(&[S, fading, VOWEL]), Class::Voice);
    }

    #[test]
    fn a_rising_sibilant_is_detected_before_it_exceeds_the_vowel() {
        let under_vowel = Features {
            deviation: BandDeviation {
                formants_db: -2.0,
                upper_db: 2.0,
                high_db: 15.0,
            },
            ..S
        };
        let swelling = Features {
            periodicity: 0.9,
            ..under_vowel
        };
        let steady = Features {
            deviation: BandDeviation {
                high_db: 14.0,
                ..swelling.deviation
            },
            ..swelling
        };
        assert_ne!(classify(&[steady; 400]), Class::Sibilant);
        let mut rising = vec![VOWEL; 400];
        rising.push(swelling);
        assert_eq!(classify(&rising), Class::Sibilant);
    }

    #[test]
    fn a_bright_vowel_is_not_a_sibilant() {
        let bright = Features {
            periodicity: 0.95,
            ..S
        };
        let class = |pulsing: f32| Classifier::new(Timing::new(48_000.0)).classify(&bright, || pulsing);
        assert_eq!(class(0.98), Class::Voice);
        assert_eq!(class(0.6), Class::Sibilant);
    }
}
