//! The shape of a noise: a sibilant peaks above the formants of vowels, a breath and a whisper among them. One window of
//! noise is uncertain by decibels, so the shape is that of the noise so far.

use crate::clock::timing::Timing;

use super::bands::Bands;

/// Memory: a breath is told from a sibilant after some of it, and a sibilant that follows a breath, being far stronger in
/// its bands, at once.
const MEMORY_MS: f32 = 16.0;

/// The mean powers of the noise that goes on.
pub(crate) struct NoiseShape {
    mean: Bands,
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

    /// Takes the next hop; `goes_on` is false where what came before was no noise. Returns the sharpness of the noise so
    /// far, dB.
    pub fn sharpness_db(&mut self, powers: &Bands, goes_on: bool) -> f32 {
        self.hops = if goes_on {
            (self.hops + 1).min(self.memory_hops)
        } else {
            1
        };
        let towards = |mean: f64, power: f64| mean + (power - mean) / self.hops as f64;
        self.mean = Bands {
            formants: towards(self.mean.formants, powers.formants),
            middle: towards(self.mean.middle, powers.middle),
            upper: towards(self.mean.upper, powers.upper),
            high: towards(self.mean.high, powers.high),
        };
        self.mean.sharpness_db()
    }
}

#[cfg(test)]
mod tests {
    use super::super::bands::examples::{BREATH, S};
    use super::*;

    #[test]
    fn one_bright_hop_makes_no_sibilant_of_a_breath() {
        let mut shape = NoiseShape::new(Timing::new(48_000.0));
        for _ in 0..20 {
            shape.sharpness_db(&BREATH, true);
        }
        let bright = Bands {
            high: 8.0 * BREATH.high,
            ..BREATH
        };
        assert!(bright.sharpness_db() > 2.5, "the hop alone would be one");
        assert!(shape.sharpness_db(&bright, true) < 1.0);
    }

    #[test]
    fn a_sibilant_after_a_breath_or_after_a_vowel_is_seen_at_once() {
        let mut shape = NoiseShape::new(Timing::new(48_000.0));
        for _ in 0..200 {
            shape.sharpness_db(&BREATH, true);
        }
        assert!(shape.sharpness_db(&S, true) > 2.5);
        for _ in 0..200 {
            shape.sharpness_db(&BREATH, true);
        }
        assert_eq!(shape.sharpness_db(&S, false), S.sharpness_db());
    }
}
