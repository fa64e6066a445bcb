//! The level of the voice in a tenth of a second: what sections are found from.

use super::VOICED_SHARE;
use crate::primitives::decibels::{lufs_from_power, power_from_lufs};
use crate::report::{Class, HopReport};

/// Collects the hops of a cell. Neither allocates nor locks.
#[derive(Debug, Clone, Copy, Default)]
pub struct VoiceCell {
    power: f64,
    voiced_hops: f64,
    hops: f64,
}

impl VoiceCell {
    /// Adds the report of a hop.
    pub fn add(&mut self, report: &HopReport) {
        if report.class == Class::Voice {
            self.power += power_from_lufs(report.level_lufs);
            self.voiced_hops += 1.0;
        }
        self.hops += 1.0;
    }

    /// How many hops it has.
    #[must_use]
    pub fn hops(&self) -> f64 {
        self.hops
    }

    /// Mean power of its voice, LUFS; minus infinity where no voice is.
    #[must_use]
    pub fn voice_lufs(&self) -> f32 {
        if self.voiced_hops > 0.0 && self.voiced_hops >= VOICED_SHARE * self.hops {
            lufs_from_power(self.power / self.voiced_hops)
        } else {
            f32::NEG_INFINITY
        }
    }
}
