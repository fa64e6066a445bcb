//! What a new insert asks of a sibilant, and the rate at which everything is played.

use siskin_dsp::SibilanceSettings;

use crate::measurement::levels::asked_reduction_db;

/// The rate at which voices are played, Hz: that of most sessions.
pub const RATE_HZ: f64 = 48_000.0;

/// Where a new insert measures sibilance, Hz.
pub fn from_hz() -> f64 {
    f64::from(SibilanceSettings::default().from_hz)
}

/// What a new insert takes from a sibilant whose band lies `excess_lu` above the threshold, dB, not negative.
pub fn asked_db(excess_lu: f32) -> f32 {
    let settings = SibilanceSettings::default();
    asked_reduction_db(excess_lu, settings.ratio, settings.range_db)
}

/// What a new insert makes of a sibilant at a proportion of `proportion_lu`, LU.
pub fn asked_lu(proportion_lu: f32) -> f32 {
    proportion_lu - asked_db(proportion_lu - SibilanceSettings::default().proportion_lu)
}
