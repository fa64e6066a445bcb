//! The sharpness of the current noise. A sibilant peaks above the formants of vowels, a breath or a whisper among them.
//! One window of noise varies by several decibels, so the mean over the noise so far is used.

use crate::clock::timing::Timing;

use super::band_powers::BandPowers;

/// Averaging time. A sibilant after a breath is still detected at once, because it is far stronger in its bands.
const AVERAGE_MS: f32 = 16.0;

/// The mean band powers of the current noise.
pub(crate) struct NoiseShape {
    mean: BandPowers,
    hops: usize,
    average_hops: usize,
}

impl NoiseShape {
    pub fn new(timing: Timing) -> Self {
        Self {
            mean: BandPowers::default(),
            hops: 0,
            average_hops: timing.hops(AVERAGE_MS),
        }
    }

    pub fn reset(&mut self) {
        (self.mean, self.hops) = (BandPowers::default(), 0);
    }

    /// Adds a hop; `continues` is false if the hop before was not noise. Returns the sharpness of the noise so far, dB.
    pub fn update(&mut self, powers: &BandPowers, continues: bool) -> f32 {
        self.hops = if continues {
            (self.hops + 1).min(self.average_hops)
        } else {
            1
        };
        let mean_with = |mean: f64, power: f64| mean + (power - mean) / self.hops as f64;
        self.mean = BandPowers {
            formants: mean_with(self.mean.formants, powers.formants),
            middle: mean_with(self.mean.middle, powers.middle),
            upper: mean_with(self.mean.upper, powers.upper),
            high: mean_with(self.mean.high, powers.high),
        };
        self.mean.sharpness_db()
    }
}

#[cfg(test)]
mod tests {
    use super::super::band_powers::examples::{BREATH, S};
    use super::*;

    #[test]
    fn one_bright_hop_does_not_turn_a_breath_into_a_sibilant() {
        let mut shape = NoiseShape::new(Timing::new(48_000.0));
        for _ in 0..20 {
            shape.update(&BREATH, true);
        }
        let bright = BandPowers {
            high: 8.0 * BREATH.high,
            ..BREATH
        };
        assert!(bright.sharpness_db() > 2.5, "the hop alone would be sharp");
        assert!(shape.update(&bright, true) < 1.0);
    }

    #[test]
    fn a_sibilant_is_sharp_at_once_after_a_breath_or_a_vowel() {
        let mut shape = NoiseShape::new(Timing::new(48_000.0));
        for _ in 0..200 {
            shape.update(&BREATH, true);
        }
        assert!(shape.update(&S, true) > 2.5);
        for _ in 0..200 {
            shape.update(&BREATH, true);
        }
        assert_eq!(shape.update(&S, false), S.sharpness_db());
    }
}
