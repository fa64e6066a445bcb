//! The static curve of the sibilance stage: excess in, reduction out.

use crate::stages::ratio::slope_from_ratio;

/// Width of the one-sided knee of the sibilance stage, dB: wide enough that a sibilant near the threshold is not switched on
/// and off, narrow enough that the curve stays within 0.3 dB of the hard curve.
pub const SIBILANCE_KNEE_DB: f32 = 2.0;

/// Reduction of the sibilance stage for an excess over its threshold, all in dB; 0 or positive, at most `range_db`.
///
/// 0 below the threshold, the hard curve with this ratio (1 or more, or infinity) from [`SIBILANCE_KNEE_DB`] up, and a cubic
/// with matching slopes between. A knee centred on the threshold would reduce sibilants that already lie below it.
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

    proptest! {
        #[test]
        fn reduction_stays_within_excess_and_range(
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
