//! From features to a class. Every threshold is a ratio, so that level never matters.

use crate::decibels::db_from_power;
use crate::report::Class;
use crate::timing::Timing;

/// Balance between the band of sibilants and the band of vowels from which a hop is a sibilant, and below which it no
/// longer is. On nine espeak-ng voices with 6 dB of boost, 95 % of the hops within s, sh and ch lie above +2.5 dB and 90 %
/// of those within vowels, nasals and liquids below -7.9 dB; a bright close vowel comes nearest.
const SIBILANT_FROM_DB: f32 = -1.0;
const SIBILANT_UNTIL_DB: f32 = -5.0;
/// Periodicity from which a hop is voiced, and below which it no longer is.
const VOICED_FROM: f32 = 0.7;
const VOICED_UNTIL: f32 = 0.5;
/// Hops this far under the loudest of late are quiet: room, hum, bleed and the tails of words.
const QUIET_BELOW_LOUDEST_DB: f32 = 45.0;
/// Nothing in a recording's room lies below this; the one absolute figure, far under any voice.
const QUIET_BELOW_LUFS: f32 = -95.0;
/// How fast the loudest of late is forgotten: a verse 30 dB under the chorus is heard after some seconds of rest, and
/// at once where the voice goes on, since the floor lies 45 dB down.
const LOUDEST_FORGOTTEN_DB_PER_S: f32 = 3.0;

/// What a hop is told by.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Features {
    /// K-weighted mean square of the window.
    pub power: f64,
    /// K-weighted mean square in the band of vowels.
    pub vowel_band_power: f64,
    /// K-weighted mean square in the band of sibilants.
    pub sibilant_band_power: f64,
    /// Periodicity of the low band, 0 ... 1.
    pub periodicity: f32,
}

/// The class of the last hop and the loudest level of late.
pub(crate) struct Classifier {
    class: Class,
    loudest_db: f32,
    forgotten_db_per_hop: f32,
}

impl Classifier {
    pub fn new(timing: Timing) -> Self {
        let hop_s = timing.hop_samples as f64 / timing.sample_rate_hz;
        Self {
            class: Class::Quiet,
            loudest_db: QUIET_BELOW_LUFS,
            forgotten_db_per_hop: LOUDEST_FORGOTTEN_DB_PER_S * hop_s as f32,
        }
    }

    pub fn reset(&mut self) {
        self.class = Class::Quiet;
        self.loudest_db = QUIET_BELOW_LUFS;
    }

    pub fn classify(&mut self, features: &Features) -> Class {
        let level_db = db_from_power(features.power);
        self.loudest_db = level_db
            .max(self.loudest_db - self.forgotten_db_per_hop)
            .max(QUIET_BELOW_LUFS);
        let balance_db =
            db_from_power(features.sibilant_band_power) - db_from_power(features.vowel_band_power);
        let sibilant_db = if self.class == Class::Sibilant {
            SIBILANT_UNTIL_DB
        } else {
            SIBILANT_FROM_DB
        };
        let voiced = if self.class == Class::Voice {
            VOICED_UNTIL
        } else {
            VOICED_FROM
        };
        self.class = if level_db < QUIET_BELOW_LUFS || level_db < self.loudest_db - QUIET_BELOW_LOUDEST_DB {
            Class::Quiet
        } else if balance_db > sibilant_db {
            Class::Sibilant
        } else if features.periodicity > voiced {
            Class::Voice
        } else {
            Class::Breath
        };
        self.class
    }
}
