//! The three bands by which classes are told apart.

use crate::decibels::db_from_power;

use super::spectrum::Spectrum;

/// The second formant and what lies about it (Peterson & Barney 1952: 840 to 2790 Hz), without the first: during an s the
/// hum of a room sounds there, and an edge at 150 Hz lets twice as many vowels of a bright microphone pass for sibilants.
const FORMANTS_HZ: (f64, f64) = (500.0, 2800.0);
/// The peak of sh (Jongman, Wayland & Wong 2000: 3.8 kHz) and of a low whistled s; higher formants too.
const UPPER_HZ: (f64, f64) = (2800.0, 5200.0);
/// The peak of s (Jongman, Wayland & Wong 2000: 6.8 kHz), above every formant that carries power.
const HIGH_HZ: (f64, f64) = (5200.0, 14_000.0);
/// The upper band holds formants of a whisper too: it must stand this much higher than the high one to be as bright.
const UPPER_LESS_DB: f32 = 8.0;
/// Silence of a file, where no ratio of powers says anything.
const NOTHING: f64 = 1e-13;

/// One value for each band.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Bands<T> {
    pub formants: T,
    pub upper: T,
    pub high: T,
}

impl Bands<f64> {
    /// K-weighted powers.
    pub fn of(spectrum: &Spectrum) -> Self {
        let power = |(from_hz, to_hz)| spectrum.band_power(from_hz, to_hz);
        Self {
            formants: power(FORMANTS_HZ),
            upper: power(UPPER_HZ),
            high: power(HIGH_HZ),
        }
    }

    /// By how much the treble outweighs the formants, dB: above -5 in sibilants, below in most else.
    pub fn brightness_db(&self) -> f32 {
        let upper_db = ratio_db(self.upper, self.formants) - UPPER_LESS_DB;
        ratio_db(self.high, self.formants).max(upper_db)
    }
}

/// A ratio of powers in decibels; 0 where both are silent.
pub(crate) fn ratio_db(power: f64, reference: f64) -> f32 {
    db_from_power((power + NOTHING) / (reference + NOTHING))
}
