//! Attack and release of a reduction: the smooth, branching detector of Giannoulis, Massberg & Reiss 2012 (J. Audio Eng.
//! Soc. 60(6), section 2.3), updated once per control step.

/// One-pole factors per step while the reduction grows (attack) and shrinks (release).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct BallisticsDecay {
    pub attack: f32,
    pub release: f32,
}

/// Smaller reductions are inaudible; they are set to exactly 0 so that the stage can rest.
const INAUDIBLE_DB: f32 = 1e-3;

/// A reduction that moves towards its target.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Ballistics {
    reduction_db: f32,
}

impl Ballistics {
    pub fn reset(&mut self) {
        self.reduction_db = 0.0;
    }

    /// Moves one step towards `target_db` (0 or positive); returns the reduction at its end.
    pub fn update_step(&mut self, target_db: f32, decay: BallisticsDecay) -> f32 {
        let keep = if target_db > self.reduction_db {
            decay.attack
        } else {
            decay.release
        };
        self.reduction_db = target_db + keep * (self.reduction_db - target_db);
        if target_db == 0.0 && self.reduction_db < INAUDIBLE_DB {
            self.reduction_db = 0.0;
        }
        self.reduction_db
    }

    /// The current reduction, dB, 0 or positive.
    pub fn reduction_db(&self) -> f32 {
        self.reduction_db
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::timing::Timing;

    // Giannoulis, Massberg & Reiss 2012: a step of 12 dB has gone 1 - 1/e of the way after one time constant.
    #[test]
    fn a_12_db_step_follows_the_exponential_of_the_time_constant() {
        for rate_hz in [44_100.0, 48_000.0, 192_000.0] {
            let timing = Timing::new(rate_hz);
            let time_constant_ms = 40.0;
            let keep = timing.step_decay(time_constant_ms);
            let mut ballistics = Ballistics::default();
            let steps_to = |constants: f64| {
                (constants * 1e-3 * f64::from(time_constant_ms) * rate_hz / timing.step_samples as f64)
                    .round() as usize
            };
            for step in 1..=steps_to(3.0) {
                let reduction_db = ballistics.update_step(
                    12.0,
                    BallisticsDecay {
                        attack: keep,
                        release: 0.0,
                    },
                );
                if step == steps_to(1.0) {
                    assert!(
                        (reduction_db - 7.585).abs() < 0.03,
                        "{reduction_db} at {rate_hz} Hz"
                    );
                }
            }
            assert!(
                (ballistics.reduction_db() - 11.403).abs() < 0.01,
                "{}",
                ballistics.reduction_db()
            );
        }
    }
}
