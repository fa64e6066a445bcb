//! What the sibilance stage is asked for, written down apart from the stage.

/// Width of the knee above the threshold, dB.
const KNEE_DB: f32 = 2.0;

/// Reduction, dB, not negative, that `ratio` : 1 asks for at `excess_lu` above the threshold, at most `range_db`.
///
/// From the knee's end the threshold and the ratio hold exactly. Within the knee the cubic that starts flat at the
/// threshold and ends with the slope of the ratio leads there.
#[must_use]
pub fn asked_reduction_db(excess_lu: f32, ratio: f32, range_db: f32) -> f32 {
    let asked_of_limiter_db = if excess_lu <= 0.0 {
        0.0
    } else if excess_lu < KNEE_DB {
        2.0 * excess_lu.powi(2) / KNEE_DB - excess_lu.powi(3) / KNEE_DB.powi(2)
    } else {
        excess_lu
    };
    range_db.min(asked_of_limiter_db - asked_of_limiter_db / ratio)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_the_stage() {
        for excess_tenths in -100..=400 {
            let excess_lu = excess_tenths as f32 / 10.0;
            for ratio in [1.0, 1.5, 2.0, 6.0, 20.0, f32::INFINITY] {
                for range_db in [0.0, 3.0, 12.0, 24.0] {
                    let own_db = asked_reduction_db(excess_lu, ratio, range_db);
                    let stage_db = siskin_dsp::sibilance_reduction_db(excess_lu, ratio, range_db);
                    assert!(
                        (own_db - stage_db).abs() < 1e-4,
                        "{excess_lu} LU over, {ratio} : 1, {range_db} dB: {own_db} and {stage_db} dB"
                    );
                }
            }
        }
    }

    #[test]
    fn holds_threshold_ratio_and_range() {
        assert_eq!(asked_reduction_db(-3.0, 6.0, 12.0), 0.0);
        assert!((asked_reduction_db(6.0, 6.0, 12.0) - 5.0).abs() < 1e-6);
        assert_eq!(asked_reduction_db(30.0, f32::INFINITY, 12.0), 12.0);
    }
}
