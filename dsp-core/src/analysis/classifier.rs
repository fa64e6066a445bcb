//! From features to a class. Every threshold is a ratio, so that level never matters.

use crate::report::Class;

use super::bands::Bands;

/// A hop is a sibilant from here on, and until it leans less. These two, and every other figure of the analysis that names
/// no other source, were found by search on 255 labelled voices, real and synthetic, as they are and in twelve hard
/// conditions; `cargo xtask score` measures them on other texts.
const LEANS_FROM_DB: f32 = 15.0;
const LEANS_UNTIL_DB: f32 = 8.0;
/// A noise may be a sibilant from this brightness on, and while it stays brighter than that: breaths lie below -6 dB.
const BRIGHT_FROM_DB: f32 = -4.5;
const BRIGHT_UNTIL_DB: f32 = -6.5;
/// The upper band moves with the formants of vowels too: it must stand this much higher to say as much as the high one.
const UPPER_LESS_DB: f32 = 4.0;
/// The formants of a sibilant sink by less than its treble rises, in a room or behind a z: they count by half.
const FORMANTS_SHARE: f32 = 0.5;
/// What a periodic hop leans less than a noisy one, over the whole range of the periodicity.
const PERIODIC_LESS_DB: f32 = 10.0;
/// The periodicity at which it makes no difference: noise reads less, a voice more.
const NEITHER_PERIODIC: f32 = 0.5;
/// Periodicity from which a hop is voiced, and below which it no longer is.
const VOICED_FROM: f32 = 0.6;
const VOICED_UNTIL: f32 = 0.45;
/// What a hop is told by.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Features {
    /// Nothing but the room sounds.
    pub quiet: bool,
    /// How far each band stands above the voice's own, dB.
    pub stand_db: Bands<f32>,
    /// Brightness of the noise so far, dB.
    pub brightness_db: f32,
    /// Periodicity of the low band, 0 ... 1.
    pub periodicity: f32,
}

impl Features {
    /// How far the hop leans from the voice towards a sibilant, dB: what its treble stands above the voice's, less what its
    /// formants do.
    pub fn lean_db(&self) -> f32 {
        let treble_db = self.stand_db.high.max(self.stand_db.upper - UPPER_LESS_DB);
        treble_db
            - FORMANTS_SHARE * self.stand_db.formants
            - PERIODIC_LESS_DB * (self.periodicity - NEITHER_PERIODIC)
    }
}

/// The class of the last hop.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Classifier {
    class: Class,
}

impl Classifier {
    pub fn reset(&mut self) {
        *self = Self::default();
    }

    /// Whether the last hop was noise: a sibilant or a breath.
    pub fn heard_noise(&self) -> bool {
        matches!(self.class, Class::Sibilant | Class::Breath)
    }

    pub fn classify(&mut self, features: &Features) -> Class {
        let (leans_db, bright_db) = if self.class == Class::Sibilant {
            (LEANS_UNTIL_DB, BRIGHT_UNTIL_DB)
        } else {
            (LEANS_FROM_DB, BRIGHT_FROM_DB)
        };
        let voiced = if self.class == Class::Voice {
            VOICED_UNTIL
        } else {
            VOICED_FROM
        };
        self.class = if features.quiet {
            Class::Quiet
        } else if features.lean_db() > leans_db && features.brightness_db > bright_db {
            Class::Sibilant
        } else if features.periodicity > voiced {
            Class::Voice
        } else {
            Class::Breath
        };
        self.class
    }
}
