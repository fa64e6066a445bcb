//! The levels of one sibilant: as it comes, what the settings ask, and as it leaves.

use crate::primitives::decibels::{lufs_from_power, power_from_db, power_from_lufs};
use crate::report::HopReport;
use crate::settings::SibilanceSettings;
use crate::stages::sibilance::gain_computer::sibilance_reduction_db;

/// Levels of a sibilant above `Detect from`, means over its hops, LUFS.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SibilantLevels {
    /// The voice that it is held against.
    pub voice_lufs: f32,
    /// As it comes.
    pub before_lufs: f32,
    /// What Proportion, ratio and Range make of it.
    pub asked_lufs: f32,
    /// As it leaves.
    pub left_lufs: f32,
    /// Whether Range ends its reduction.
    pub is_limited: bool,
}

/// Sums over the hops of a sibilant. Neither allocates nor locks.
#[derive(Debug, Clone, Copy, Default)]
pub struct SibilantSums {
    power: f64,
    left_power: f64,
    voice_lufs: f64,
    threshold_lufs: f64,
    hops: f64,
}

impl SibilantSums {
    /// Adds the report of its next hop.
    pub fn add(&mut self, report: &HopReport) {
        let power = power_from_lufs(report.sibilance_lufs);
        self.power += power;
        self.left_power += power * power_from_db(report.sibilance_gain_db);
        self.voice_lufs += f64::from(report.voice_lufs);
        self.threshold_lufs += f64::from(report.threshold_lufs);
        self.hops += 1.0;
    }

    /// How many hops it has.
    #[must_use]
    pub fn hops(&self) -> f64 {
        self.hops
    }

    /// The levels so far. There must be a hop.
    #[must_use]
    pub fn levels(&self, settings: &SibilanceSettings) -> SibilantLevels {
        let before_lufs = lufs_from_power(self.power / self.hops);
        let excess_lu = before_lufs - (self.threshold_lufs / self.hops) as f32;
        let (wanted_db, range_db) = if settings.on {
            let wanted_db = sibilance_reduction_db(excess_lu, settings.ratio, f32::INFINITY);
            (wanted_db, settings.range_db)
        } else {
            (0.0, 0.0)
        };
        SibilantLevels {
            voice_lufs: (self.voice_lufs / self.hops) as f32,
            before_lufs,
            asked_lufs: before_lufs - wanted_db.min(range_db),
            left_lufs: lufs_from_power(self.left_power / self.hops),
            is_limited: wanted_db > range_db,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sums(gain_db: f32) -> SibilantSums {
        let mut sums = SibilantSums::default();
        for _ in 0..10 {
            sums.add(&HopReport {
                voice_lufs: -20.0,
                threshold_lufs: -26.0,
                sibilance_lufs: -16.0,
                sibilance_gain_db: gain_db,
                ..HopReport::default()
            });
        }
        sums
    }

    #[test]
    fn asked_follows_from_the_settings_and_left_from_the_gain() {
        let mut settings = SibilanceSettings {
            ratio: f32::INFINITY,
            range_db: 12.0,
            ..SibilanceSettings::default()
        };
        let levels = sums(-8.0).levels(&settings);
        for (got, expected) in [
            (levels.voice_lufs, -20.0),
            (levels.before_lufs, -16.0),
            (levels.left_lufs, -24.0),
            (levels.asked_lufs, -26.0),
        ] {
            assert!((got - expected).abs() < 0.01, "{levels:?}");
        }
        assert!(!levels.is_limited);
        settings.range_db = 6.0;
        let levels = sums(-8.0).levels(&settings);
        assert!((levels.asked_lufs + 22.0).abs() < 0.01 && levels.is_limited);
        settings.on = false;
        let levels = sums(0.0).levels(&settings);
        assert!(levels.asked_lufs == levels.before_lufs && !levels.is_limited);
    }
}
