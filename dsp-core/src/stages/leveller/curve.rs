//! The static curve of the leveller.

use crate::primitives::decibels::db_from_power;
use crate::settings::LevellerSettings;
use crate::stages::ratio::slope_from_ratio;

/// A full-scale sine reads 0 dB RMS (AES17), although its mean square is -3.01 dB.
pub(super) const SINE_DB: f32 = 3.0103;

/// Threshold, slope and knee of the curve.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Curve {
    pub threshold_db: f32,
    /// Reduction per decibel above the knee.
    pub slope: f32,
    pub knee_db: f32,
}

impl Curve {
    pub fn new(settings: &LevellerSettings) -> Self {
        Self {
            threshold_db: settings.threshold_db,
            slope: slope_from_ratio(settings.ratio),
            knee_db: settings.knee_db,
        }
    }

    /// Reduction at a level in dB RMS, 0 or positive.
    pub fn reduction_db(&self, level_db: f32) -> f32 {
        soft_knee_reduction_db(level_db - self.threshold_db, self.slope, self.knee_db)
    }
}

/// The level of a mean square, dB RMS (AES17).
pub(super) fn level_db(power: f64) -> f32 {
    db_from_power(power) + SINE_DB
}

/// Reduction of a soft-knee compressor, 0 or positive (Giannoulis, Massberg & Reiss 2012, equation 4). The knee is centred
/// on the threshold.
fn soft_knee_reduction_db(excess_db: f32, slope: f32, knee_db: f32) -> f32 {
    if 2.0 * excess_db <= -knee_db {
        0.0
    } else if 2.0 * excess_db < knee_db {
        let into_knee_db = excess_db + 0.5 * knee_db;
        slope * into_knee_db * into_knee_db / (2.0 * knee_db)
    } else {
        slope * excess_db
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Giannoulis, Massberg & Reiss 2012, equation 4 with threshold -20 dB, ratio 4, knee 10 dB.
    #[test]
    fn soft_knee_matches_the_published_curve() {
        let table = [
            (-25.0, -25.0),
            (-22.0, -22.3375),
            (-20.0, -20.9375),
            (-18.0, -19.8375),
            (-15.0, -18.75),
            (0.0, -15.0),
        ];
        for (input_db, output_db) in table {
            let reduction_db = soft_knee_reduction_db(input_db + 20.0, slope_from_ratio(4.0), 10.0);
            assert!(
                (input_db - reduction_db - output_db).abs() < 1e-4,
                "{input_db} dB"
            );
        }
    }
}
