//! The static curve.

/// Threshold, ratio and soft knee, centred on the threshold.
#[derive(Debug, Clone, Copy)]
pub(super) struct Curve {
    pub threshold_db: f64,
    pub ratio: f64,
    pub knee_db: f64,
}

impl Curve {
    /// Level out for a level in, dB (Giannoulis, Massberg & Reiss 2012, equation 4).
    pub fn output_db(&self, input_db: f64) -> f64 {
        let over_db = input_db - self.threshold_db;
        if 2.0 * over_db < -self.knee_db {
            input_db
        } else if 2.0 * over_db.abs() <= self.knee_db && self.knee_db > 0.0 {
            let into_db = over_db + self.knee_db / 2.0;
            input_db + (1.0 / self.ratio - 1.0) * into_db.powi(2) / (2.0 * self.knee_db)
        } else {
            self.threshold_db + over_db / self.ratio
        }
    }

    /// Reduction, dB, not negative.
    pub fn reduction_db(&self, input_db: f64) -> f64 {
        input_db - self.output_db(input_db)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_knee_the_curve_bends_at_the_threshold() {
        let curve = Curve {
            threshold_db: -20.0,
            ratio: 2.0,
            knee_db: 0.0,
        };
        assert_eq!(curve.reduction_db(-20.0), 0.0);
        assert_eq!(curve.reduction_db(-10.0), 5.0);
    }
}
