//! Conversions between decibels, linear gains and powers. They use powers of two, which take a third of the time.

use std::f64::consts::LOG2_10;

use super::powers_of_two::{exp2, log2};

/// The loudness of silence. Finite, so that levels can be compared and subtracted.
pub(crate) const SILENCE_LUFS: f32 = -120.0;

/// Offset between the K-weighted mean square and the loudness (ITU-R BS.1770-5, equation 2).
const LOUDNESS_OFFSET_LU: f32 = -0.691;

/// Amplitude gain of `gain_db`; exactly 1 at 0 dB.
pub(crate) fn gain_from_db(gain_db: f32) -> f64 {
    if gain_db == 0.0 {
        1.0
    } else {
        exp2(f64::from(gain_db) * (LOG2_10 / 20.0))
    }
}

/// Power gain of `gain_db`; exactly 1 at 0 dB.
pub(crate) fn power_from_db(gain_db: f32) -> f64 {
    if gain_db == 0.0 {
        1.0
    } else {
        exp2(f64::from(gain_db) * (LOG2_10 / 10.0))
    }
}

/// `10 log10 power`, never below `-200`.
pub(crate) fn db_from_power(power: f64) -> f32 {
    (log2(power.max(1e-20)) * (10.0 / LOG2_10)) as f32
}

/// Loudness in LUFS of a K-weighted mean square summed over channels, never below [`SILENCE_LUFS`].
pub(crate) fn lufs_from_power(power: f64) -> f32 {
    (db_from_power(power) + LOUDNESS_OFFSET_LU).max(SILENCE_LUFS)
}

/// The K-weighted mean square with a loudness of `lufs`.
pub(crate) fn power_from_lufs(lufs: f32) -> f64 {
    power_from_db(lufs - LOUDNESS_OFFSET_LU)
}
