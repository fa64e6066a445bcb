//! The shape of a noise: a sibilant is brightest above the formants of vowels, a breath and a whisper within them. One
//! window of noise is uncertain by decibels, so the shape is that of the noise so far.

use crate::decibels::db_from_power;
use crate::timing::Timing;

use super::colour::Bands;

/// Memory: a breath is told from a sibilant after some of it, and a sibilant that follows a breath, being far stronger in
/// its bands, at once.
const MEMORY_MS: f32 = 27.0;
/// The upper band holds formants of a whisper too: it must stand this much higher than the high one to say as much.
const UPPER_LESS_DB: f32 = 8.0;
/// Keeps a silent file from being divided by nothing.
const NOTHING: f64 = 1e-13;

/// The mean powers of the noise that goes on.
pub(crate) struct NoiseShape {
    mean: Bands<f64>,
    hops: usize,
    memory_hops: usize,
}

impl NoiseShape {
    pub fn new(timing: Timing) -> Self {
        Self {
            mean: Bands::default(),
            hops: 0,
            memory_hops: timing.hops(MEMORY_MS),
        }
    }

    pub fn reset(&mut self) {
        (self.mean, self.hops) = (Bands::default(), 0);
    }

    /// Takes the next hop; `goes_on` is false where what came before was no noise. Returns by how much the treble of the
    /// noise so far outweighs its formants, dB.
    pub fn brightness_db(&mut self, powers: &Bands<f64>, goes_on: bool) -> f32 {
        self.hops = if goes_on {
            (self.hops + 1).min(self.memory_hops)
        } else {
            1
        };
        let towards = |mean: &mut f64, power: f64| *mean += (power - *mean) / self.hops as f64;
        towards(&mut self.mean.formants, powers.formants);
        towards(&mut self.mean.upper, powers.upper);
        towards(&mut self.mean.high, powers.high);
        let over_formants_db = |power: f64| db_from_power((power + NOTHING) / (self.mean.formants + NOTHING));
        over_formants_db(self.mean.high).max(over_formants_db(self.mean.upper) - UPPER_LESS_DB)
    }
}
