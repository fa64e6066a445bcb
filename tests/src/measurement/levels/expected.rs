//! What the sibilance stage is asked for, written down apart from the stage.

/// Width of the knee above the threshold, dB.
const KNEE_DB: f32 = 2.0;

/// Reduction, dB, not negative, that `ratio` : 1 asks for at `excess_lu` above the threshold, at most `range_db`.
///
/// From the knee's end the threshold and the ratio hold exactly. Within the knee the cubic that starts flat at the
/// threshold and ends with the slope of the ratio leads there.
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
    use crate::measurement::levels::near;

    /// Worked by hand for an infinite ratio, which takes the whole excess above the knee: in the knee, the only cubic that
    /// begins flat at 0 dB and ends at 2 LU over with 2 dB and a slope of 1.
    const TAKEN_DB: [(f32, f32); 8] = [
        (-3.0, 0.0),
        (0.0, 0.0),
        (0.5, 0.218_75),
        (1.0, 0.75),
        (1.5, 1.406_25),
        (2.0, 2.0),
        (6.0, 6.0),
        (30.0, 30.0),
    ];

    #[test]
    fn the_model_and_the_stage_give_the_values_worked_by_hand() {
        for rule in [asked_reduction_db, siskin_dsp::sibilance_reduction_db] {
            for (excess_lu, taken_db) in TAKEN_DB {
                for (ratio, share) in [
                    (1.0_f32, 0.0_f32),
                    (1.5, 1.0 / 3.0),
                    (4.0, 0.75),
                    (f32::INFINITY, 1.0),
                ] {
                    for range_db in [0.0_f32, 3.0, 12.0, 24.0] {
                        let asked_db = range_db.min(share * taken_db);
                        let got_db = rule(excess_lu, ratio, range_db);
                        near(got_db, asked_db, 1e-5, (excess_lu, ratio, range_db));
                    }
                }
            }
        }
    }

    #[test]
    fn the_knee_has_no_corner() {
        let slope = |excess_lu: f32| {
            let rule = |excess_lu| siskin_dsp::sibilance_reduction_db(excess_lu, f32::INFINITY, 24.0);
            (rule(excess_lu + 0.01) - rule(excess_lu - 0.01)) / 0.02
        };
        assert!(slope(0.0) < 0.02, "{}", slope(0.0));
        assert!((slope(KNEE_DB) - 1.0).abs() < 0.02, "{}", slope(KNEE_DB));
    }
}
