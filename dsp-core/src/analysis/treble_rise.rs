//! The rise of the treble: detects an s that fades in under a vowel some milliseconds before it exceeds the vowel.

use crate::clock::timing::Timing;
use crate::primitives::decibels::{db_from_power, power_from_db};

/// Weight of a rise above the recent mean, and the largest rise that counts.
const WEIGHT: f32 = 0.8;
const MAX_RISE_DB: f32 = 20.0;
/// Time constant of the mean: about a period of a low voice, so that its pulses do not count as rises.
const TIME_CONSTANT_MS: f32 = 12.0;
/// A shorter sibilant was a pulse of a rough voice (bursts of t are longer).
const PULSE_MS: f32 = 7.0;
/// How long rises are ignored after such a pulse, because more will follow.
const IGNORED_MS: f32 = 80.0;
/// Initial mean, so high that nothing rises above it.
const INITIAL_MEAN: f64 = 1e9;

/// The mean of the treble, and whether rises count at present.
pub(crate) struct TrebleRise {
    mean_power: f64,
    share_per_hop: f64,
    pulse_hops: usize,
    ignored_hops: usize,
    sibilant_hops: usize,
    remaining_ignored_hops: usize,
}

impl TrebleRise {
    pub fn new(timing: Timing) -> Self {
        Self {
            mean_power: INITIAL_MEAN,
            share_per_hop: 1.0 - f64::from(timing.hop_decay(TIME_CONSTANT_MS)),
            pulse_hops: timing.hops(PULSE_MS),
            ignored_hops: timing.hops(IGNORED_MS),
            sibilant_hops: 0,
            remaining_ignored_hops: 0,
        }
    }

    pub fn reset(&mut self) {
        self.mean_power = INITIAL_MEAN;
        (self.sibilant_hops, self.remaining_ignored_hops) = (0, 0);
    }

    /// Takes the treble of a hop; returns what its rise adds to the sibilant score, dB.
    pub fn score_db(&mut self, treble_db: f32) -> f32 {
        let rise_db = treble_db - db_from_power(self.mean_power);
        self.mean_power += self.share_per_hop * (power_from_db(treble_db) - self.mean_power);
        if self.remaining_ignored_hops > 0 {
            0.0
        } else {
            WEIGHT * rise_db.clamp(0.0, MAX_RISE_DB)
        }
    }

    /// Takes the class that was then assigned to the hop.
    pub fn update_class(&mut self, is_sibilant: bool) {
        self.remaining_ignored_hops = self.remaining_ignored_hops.saturating_sub(1);
        if is_sibilant {
            self.sibilant_hops += 1;
        } else {
            if (1..self.pulse_hops).contains(&self.sibilant_hops) {
                self.remaining_ignored_hops = self.ignored_hops;
            }
            self.sibilant_hops = 0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after_low_treble() -> TrebleRise {
        let mut rise = TrebleRise::new(Timing::new(48_000.0));
        for _ in 0..400 {
            rise.score_db(-10.0);
        }
        rise
    }

    #[test]
    fn a_rise_counts_only_while_the_treble_grows() {
        let mut rise = after_low_treble();
        assert_eq!(rise.score_db(-10.0), 0.0);
        assert!(rise.score_db(5.0) > 10.0);
        for _ in 0..60 {
            rise.score_db(5.0);
        }
        assert!(rise.score_db(5.0) < 0.1);
    }

    #[test]
    fn no_rise_at_the_start() {
        assert_eq!(TrebleRise::new(Timing::new(48_000.0)).score_db(30.0), 0.0);
    }

    #[test]
    fn rises_are_ignored_for_a_while_after_a_pulse() {
        let mut rise = after_low_treble();
        (0..3).for_each(|_| rise.update_class(true));
        rise.update_class(false);
        assert_eq!(rise.score_db(5.0), 0.0);
        (0..100).for_each(|_| rise.update_class(false));
        for _ in 0..100 {
            rise.score_db(-10.0);
        }
        assert!(rise.score_db(5.0) > 10.0);
    }
}
