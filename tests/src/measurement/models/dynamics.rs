//! What a compressor is made of: the static curve, attack and release.

/// The smooth, decoupled peak detector (Giannoulis, Massberg & Reiss 2012, from memory): a release that jumps up at
/// once, and an attack that follows it. It smooths a reduction, dB, not negative. The times are those to 63 % of a
/// step.
#[derive(Debug, Clone, Copy)]
pub(super) struct PeakDetector {
    attack_decay: f64,
    release_decay: f64,
    released_db: f64,
    smoothed_db: f64,
}

impl PeakDetector {
    pub fn new(sample_rate_hz: f64, attack_ms: f64, release_ms: f64) -> Self {
        let decay = |time_ms: f64| (-1.0 / (1e-3 * time_ms * sample_rate_hz)).exp();
        Self {
            attack_decay: decay(attack_ms),
            release_decay: decay(release_ms),
            released_db: 0.0,
            smoothed_db: 0.0,
        }
    }

    pub fn process(&mut self, reduction_db: f64) -> f64 {
        let falling_db = reduction_db + self.release_decay * (self.released_db - reduction_db);
        self.released_db = falling_db.max(reduction_db);
        self.smoothed_db = self.released_db + self.attack_decay * (self.smoothed_db - self.released_db);
        self.smoothed_db
    }
}

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
    use crate::measurement::levels::near;

    const RATE_HZ: f64 = 48_000.0;

    fn after(detector: &mut PeakDetector, reduction_db: f64, time_ms: f64) -> f64 {
        (0..(1e-3 * time_ms * RATE_HZ) as usize)
            .map(|_| detector.process(reduction_db))
            .last()
            .unwrap()
    }

    // Giannoulis, Massberg & Reiss 2012: a first-order step of 12 dB, at one and at three time constants.
    #[test]
    fn attack_follows_the_published_step() {
        let mut detector = PeakDetector::new(RATE_HZ, 4.0, 120.0);
        assert!((after(&mut detector, 12.0, 4.0) - 7.585).abs() < 1e-3);
        assert!((after(&mut detector, 12.0, 8.0) - 11.403).abs() < 1e-3);
    }

    // Two first-order stages in a row: 12 (r e^(-t/r) - a e^(-t/a)) / (r - a) with attack a and release r.
    #[test]
    fn release_falls_by_both_time_constants() {
        let (attack_ms, release_ms) = (4.0_f64, 120.0_f64);
        for elapsed_ms in [10.0, 120.0] {
            let mut detector = PeakDetector::new(RATE_HZ, attack_ms, release_ms);
            after(&mut detector, 12.0, 200.0);
            let released_db = after(&mut detector, 0.0, elapsed_ms);
            let slow = release_ms * (-elapsed_ms / release_ms).exp();
            let fast = attack_ms * (-elapsed_ms / attack_ms).exp();
            let expected_db = 12.0 * (slow - fast) / (release_ms - attack_ms);
            near(released_db, expected_db, 0.02, elapsed_ms);
        }
    }

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
