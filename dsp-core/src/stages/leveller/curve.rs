//! The static curve.

use crate::primitives::decibels::db_from_power;
use crate::settings::LevellerSettings;
use crate::stages::sibilance::gain_computer::{slope_from_ratio, soft_knee_reduction_db};

/// A full-scale sine reads 0 dB (AES17): its mean square is 3.01 dB below that.
pub(super) const SINE_DB: f32 = 3.0103;

/// What a steady voice loses at which level.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Curve {
    pub threshold_db: f32,
    /// Reduction for each decibel over the knee.
    pub slope: f32,
    pub knee_db: f32,
}

impl Curve {
    pub fn of(settings: &LevellerSettings) -> Self {
        Self {
            threshold_db: settings.threshold_db,
            slope: slope_from_ratio(settings.ratio),
            knee_db: settings.knee_db,
        }
    }

    /// Positive decibels, at a level in dB RMS.
    pub fn reduction_db(&self, level_db: f32) -> f32 {
        soft_knee_reduction_db(level_db - self.threshold_db, self.slope, self.knee_db)
    }
}

/// Level of a mean square, dB RMS as in AES17.
pub(super) fn level_db(power: f64) -> f32 {
    db_from_power(power) + SINE_DB
}
