//! From features to a class. Every threshold is a ratio, so that level never matters.

use crate::report::Class;
use crate::timing::Timing;

use super::colour::Stand;

/// A hop is a sibilant from here on, and until it leans less. These two, and every other figure of the analysis that names
/// no other source, were found by search on 255 labelled voices, real and synthetic, as they are and in twelve hard
/// conditions; `cargo xtask score` measures them on other texts.
const LEANS_FROM_DB: f32 = 16.5;
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
/// A quarter of what the treble has risen by of late counts towards the first hop of a sibilant, up to a rise of 20 dB: an s
/// that fades in under a vowel is caught 5 ms earlier for it.
const RISE_SHARE: f32 = 0.25;
const GREATEST_RISE_DB: f32 = 20.0;
/// How fast the treble before a rise is forgotten: 20 dB within 53 ms, about as long as a sibilant takes to swell.
const RISE_FORGOTTEN_DB_PER_S: f32 = 375.0;
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

/// The class of the last hop, and the treble before it rose.
pub(crate) struct Classifier {
    class: Class,
    low_treble_db: f32,
    forgotten_db_per_hop: f32,
}

impl Classifier {
    pub fn new(timing: Timing) -> Self {
        let hop_s = timing.hop_samples as f64 / timing.sample_rate_hz;
        Self {
            class: Class::Quiet,
            low_treble_db: f32::INFINITY,
            forgotten_db_per_hop: RISE_FORGOTTEN_DB_PER_S * hop_s as f32,
        }
    }

    pub fn reset(&mut self) {
        (self.class, self.low_treble_db) = (Class::Quiet, f32::INFINITY);
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
        let rise_db = self.rise_db(features.treble_db());
        self.class = if features.quiet {
            Class::Quiet
        } else if self.is_sibilant(features, rise_db) {
            Class::Sibilant
        } else if features.periodicity > voiced_from {
            Class::Voice
        } else {
            Class::Breath
        };
        self.class
    }

    fn is_sibilant(&self, features: &Features, rise_db: f32) -> bool {
        let lean_db = features.lean_db();
        if self.class == Class::Sibilant {
            lean_db > LEANS_UNTIL_DB && features.sharpness_db > SHARP_UNTIL_DB
        } else {
            lean_db + RISE_SHARE * rise_db > LEANS_FROM_DB && features.sharpness_db > SHARP_FROM_DB
        }
    }

    /// By how much the treble has risen of late.
    fn rise_db(&mut self, treble_db: f32) -> f32 {
        self.low_treble_db = treble_db.min(self.low_treble_db + self.forgotten_db_per_hop);
        (treble_db - self.low_treble_db).min(GREATEST_RISE_DB)
    }
}
