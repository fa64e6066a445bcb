//! The static curve, and the way from one to the next.

use crate::gain_computer::{slope_from_ratio, soft_knee_reduction_db};
use crate::settings::LevellerSettings;
use crate::timing::Timing;

use super::glide::Glide;

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

/// A curve that glides.
pub(crate) struct CurveGlide {
    threshold_db: Glide,
    slope: Glide,
    knee_db: Glide,
}

impl CurveGlide {
    pub fn new(timing: Timing) -> Self {
        let glide = Glide::new(timing);
        Self {
            threshold_db: glide,
            slope: glide,
            knee_db: glide,
        }
    }

    /// Arrives at once.
    pub fn reset(&mut self, to: Curve) {
        self.threshold_db.reset(to.threshold_db);
        self.slope.reset(to.slope);
        self.knee_db.reset(to.knee_db);
    }

    /// One step; returns where it stands.
    pub fn step(&mut self, to: Curve) -> Curve {
        Curve {
            threshold_db: self.threshold_db.step(to.threshold_db),
            slope: self.slope.step(to.slope),
            knee_db: self.knee_db.step(to.knee_db),
        }
    }
}
