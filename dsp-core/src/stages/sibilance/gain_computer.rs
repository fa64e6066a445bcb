//! Static curves: level in, reduction out, in decibels. No memory.

/// Width of the one-sided knee of the sibilance stage: wide enough that a sibilant at the threshold is not switched,
/// narrow enough that the curve stays within 0.3 dB of threshold and ratio.
pub const SIBILANCE_KNEE_DB: f32 = 2.0;

/// `1 - 1/ratio`: reduction per dB of excess.
pub(crate) fn slope_from_ratio(ratio: f32) -> f32 {
    if ratio.is_finite() {
        1.0 - 1.0 / ratio.max(1.0)
    } else {
        1.0
    }
}

/// Reduction of a soft-knee compressor, dB, not negative (Giannoulis, Massberg & Reiss 2012, equation 4): the knee is
/// centred on the threshold.
pub(crate) fn soft_knee_reduction_db(excess_db: f32, slope: f32, knee_db: f32) -> f32 {
    if 2.0 * excess_db <= -knee_db {
        0.0
    } else if 2.0 * excess_db < knee_db {
        let into_knee_db = excess_db + 0.5 * knee_db;
        slope * into_knee_db * into_knee_db / (2.0 * knee_db)
    } else {
        slope * excess_db
    }
}

/// Reduction that the sibilance stage asks for at `excess_db` above its threshold, dB, not negative: nothing below the
/// threshold, threshold and ratio exactly from [`SIBILANCE_KNEE_DB`] up, a cubic that meets both with their slopes
/// between, and never more than `range_db`.
///
/// A knee centred on the threshold would push sibilants that already lie under it further down.
#[must_use]
pub fn sibilance_reduction_db(excess_db: f32, ratio: f32, range_db: f32) -> f32 {
    let slope = slope_from_ratio(ratio);
    let knee = (excess_db / SIBILANCE_KNEE_DB).clamp(0.0, 1.0);
    let softened_db = SIBILANCE_KNEE_DB * knee * knee * (2.0 - knee);
    let beyond_knee_db = (excess_db - SIBILANCE_KNEE_DB).max(0.0);
    (slope * (softened_db + beyond_knee_db)).min(range_db)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    // Giannoulis, Massberg & Reiss 2012, equation 4 with threshold -20 dB, ratio 4, knee 10 dB.
    #[test]
    fn soft_knee_reads_the_published_curve() {
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

    proptest! {
        #[test]
        fn sibilance_stays_above_threshold_and_within_range(
            excess_db in -40f32..40.0, ratio in 1f32..30.0, range_db in 0f32..24.0,
        ) {
            for ratio in [ratio, f32::INFINITY] {
                let reduction_db = sibilance_reduction_db(excess_db, ratio, range_db);
                prop_assert!((0.0..=range_db).contains(&reduction_db));
                prop_assert!(reduction_db <= excess_db.max(0.0) + 1e-4);
                let hard_db = (slope_from_ratio(ratio) * excess_db.max(0.0)).min(range_db);
                prop_assert!((reduction_db - hard_db).abs() < 0.3);
            }
        }
    }
}
