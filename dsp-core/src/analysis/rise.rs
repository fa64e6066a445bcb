//! How the treble rises: an s that fades in under a vowel is told by that some milliseconds before it outweighs it.

use crate::clock::timing::Timing;
use crate::primitives::decibels::{db_from_power, power_from_db};

/// What the treble outgrows its mean of late by counts by this share, up to a growth of 20 dB.
const SHARE: f32 = 0.8;
const GREATEST_DB: f32 = 20.0;
/// Memory of that mean: about the period of a low voice, so that not every pulse of it is a rise.
const MEMORY_MS: f32 = 12.0;
/// A sibilant shorter than this was none, but a pulse of a rough voice (bursts of t are longer) ...
const PULSE_MS: f32 = 7.0;
/// ... and more pulses are to come.
const DISTRUSTED_MS: f32 = 80.0;
/// A treble so strong that nothing rises above it, at a start.
const NO_RISE: f64 = 1e9;

/// The mean of the treble, and whether its rises are to be trusted.
pub(crate) struct TrebleRise {
    mean_power: f64,
    share_per_hop: f64,
    pulse_hops: usize,
    distrust_hops: usize,
    sibilant_hops: usize,
    distrusted_hops: usize,
}

impl TrebleRise {
    pub fn new(timing: Timing) -> Self {
        Self {
            mean_power: NO_RISE,
            share_per_hop: 1.0 - f64::from(timing.hop_decay(MEMORY_MS)),
            pulse_hops: timing.hops(PULSE_MS),
            distrust_hops: timing.hops(DISTRUSTED_MS),
            sibilant_hops: 0,
            distrusted_hops: 0,
        }
    }

    pub fn reset(&mut self) {
        self.mean_power = NO_RISE;
        (self.sibilant_hops, self.distrusted_hops) = (0, 0);
    }

    /// Takes the treble of a hop; returns by how much its rise makes the hop lean more towards a sibilant, dB.
    pub fn lean_db(&mut self, treble_db: f32) -> f32 {
        let rise_db = treble_db - db_from_power(self.mean_power);
        self.mean_power += self.share_per_hop * (power_from_db(treble_db) - self.mean_power);
        if self.distrusted_hops > 0 {
            0.0
        } else {
            SHARE * rise_db.clamp(0.0, GREATEST_DB)
        }
    }

    /// Takes what the hop was found to be.
    pub fn learn(&mut self, is_sibilant: bool) {
        self.distrusted_hops = self.distrusted_hops.saturating_sub(1);
        if is_sibilant {
            self.sibilant_hops += 1;
        } else {
            if (1..self.pulse_hops).contains(&self.sibilant_hops) {
                self.distrusted_hops = self.distrust_hops;
            }
            self.sibilant_hops = 0;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after_a_quiet_treble() -> TrebleRise {
        let mut rise = TrebleRise::new(Timing::new(48_000.0));
        for _ in 0..400 {
            rise.lean_db(-10.0);
        }
        rise
    }

    #[test]
    fn it_counts_while_the_treble_grows_and_not_once_it_stays() {
        let mut rise = after_a_quiet_treble();
        assert_eq!(rise.lean_db(-10.0), 0.0);
        assert!(rise.lean_db(5.0) > 10.0);
        for _ in 0..60 {
            rise.lean_db(5.0);
        }
        assert!(rise.lean_db(5.0) < 0.1);
    }

    #[test]
    fn nothing_rises_at_a_start() {
        assert_eq!(TrebleRise::new(Timing::new(48_000.0)).lean_db(30.0), 0.0);
    }

    #[test]
    fn after_a_pulse_no_rise_is_trusted_for_a_while() {
        let mut rise = after_a_quiet_treble();
        (0..3).for_each(|_| rise.learn(true));
        rise.learn(false);
        assert_eq!(rise.lean_db(5.0), 0.0);
        (0..100).for_each(|_| rise.learn(false));
        for _ in 0..100 {
            rise.lean_db(-10.0);
        }
        assert!(rise.lean_db(5.0) > 10.0);
    }
}
