//! From features to a class. Every threshold is a ratio, so that level never matters.

use crate::clock::timing::Timing;
use crate::report::Class;

use super::colour::Stand;
use super::rise::TrebleRise;

/// A hop is a sibilant from here on, and until it leans less. These two, and every other figure of the analysis that names
/// no other source, were found by search on some 280 labelled recordings, real and synthetic, as they are and in twelve hard
/// conditions; `cargo xtask score` measures them on other texts.
const LEANS_FROM_DB: f32 = 17.0;
const LEANS_UNTIL_DB: f32 = 8.0;
/// A noise may be a sibilant from this sharpness on, and while it stays sharper than that.
const SHARP_FROM_DB: f32 = 2.5;
const SHARP_UNTIL_DB: f32 = 1.5;
/// The upper band moves with the formants of vowels too: it must stand this much higher to say as much as the high one.
const UPPER_LESS_DB: f32 = 4.0;
/// The formants of a sibilant sink by less than its treble rises, in a room or behind a z: they count by half.
const FORMANTS_SHARE: f32 = 0.5;
/// What a periodic hop leans less than a noisy one, over the whole range of the periodicity.
const PERIODIC_LESS_DB: f32 = 8.0;
/// The periodicity at which it makes no difference: noise reads less, a voice more.
const NEITHER_PERIODIC: f32 = 0.5;
/// Periodicity from which a hop is voiced, and below which it no longer is.
const VOICED_FROM: f32 = 0.55;
const VOICED_UNTIL: f32 = 0.4;

/// What a hop is told by.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Features {
    /// Nothing but the room sounds.
    pub quiet: bool,
    /// How far the bands stand above the voice's own.
    pub stand: Stand,
    /// Sharpness of the noise so far, dB.
    pub sharpness_db: f32,
    /// Periodicity of the low band, 0 ... 1.
    pub periodicity: f32,
}

impl Features {
    /// How far the treble stands above the voice's, dB.
    fn treble_db(&self) -> f32 {
        self.stand.high_db.max(self.stand.upper_db - UPPER_LESS_DB)
    }

    /// How far the hop leans from the voice towards a sibilant, dB.
    fn lean_db(&self) -> f32 {
        self.treble_db()
            - FORMANTS_SHARE * self.stand.formants_db
            - PERIODIC_LESS_DB * (self.periodicity - NEITHER_PERIODIC)
    }
}

/// The class of the last hop, and how the treble rises.
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

    /// Whether the last hop was noise: a sibilant or a breath.
    pub fn heard_noise(&self) -> bool {
        matches!(self.class, Class::Sibilant | Class::Breath)
    }

    pub fn classify(&mut self, features: &Features) -> Class {
        let voiced_from = if self.class == Class::Voice {
            VOICED_UNTIL
        } else {
            VOICED_FROM
        };
        let rising_db = self.rise.lean_db(features.treble_db());
        self.class = if features.quiet {
            Class::Quiet
        } else if self.is_sibilant(features, rising_db) {
            Class::Sibilant
        } else if features.periodicity > voiced_from {
            Class::Voice
        } else {
            Class::Breath
        };
        self.rise.learn(self.class == Class::Sibilant);
        self.class
    }

    fn is_sibilant(&self, features: &Features, rising_db: f32) -> bool {
        let lean_db = features.lean_db();
        if self.class == Class::Sibilant {
            lean_db > LEANS_UNTIL_DB && features.sharpness_db > SHARP_UNTIL_DB
        } else {
            lean_db + rising_db > LEANS_FROM_DB && features.sharpness_db > SHARP_FROM_DB
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const VOWEL: Features = Features {
        quiet: false,
        stand: Stand {
            formants_db: 0.0,
            upper_db: 0.0,
            high_db: 0.0,
        },
        sharpness_db: -12.0,
        periodicity: 0.95,
    };
    const S: Features = Features {
        quiet: false,
        stand: Stand {
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
            .map(|features| classifier.classify(features))
            .last()
            .unwrap_or_default()
    }

    #[test]
    fn each_class_has_its_features() {
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
        assert_eq!(classify(&[Features { quiet: true, ..S }]), Class::Quiet);
    }

    #[test]
    fn what_is_a_sibilant_stays_one_while_it_leans_less() {
        let fading = Features {
            stand: Stand {
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
    fn a_sibilant_that_swells_is_told_before_it_outweighs_the_vowel() {
        let under_a_vowel = Features {
            stand: Stand {
                formants_db: -2.0,
                upper_db: 2.0,
                high_db: 15.0,
            },
            ..S
        };
        let swelling = Features {
            periodicity: 0.9,
            ..under_a_vowel
        };
        let steady = Features {
            stand: Stand {
                high_db: 14.0,
                ..swelling.stand
            },
            ..swelling
        };
        assert_ne!(classify(&[steady; 400]), Class::Sibilant);
        let mut rising = vec![VOWEL; 400];
        rising.push(swelling);
        assert_eq!(classify(&rising), Class::Sibilant);
    }
}
