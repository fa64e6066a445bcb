//! One breath: its level, and what is taken from it.

use siskin_dsp::HopReport;

use super::compare::power;

/// A breath, complete or so far.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Breath {
    /// Start, seconds since the window opened.
    pub from_s: f64,
    /// End, seconds since the window opened.
    pub until_s: f64,
    /// Mean level before the breath stage, LUFS.
    pub level_lufs: f32,
    /// Mean level after it, LUFS; what the low cut takes is left out.
    pub output_lufs: f32,
}

/// A breath that still sounds, with the sums of its hops.
#[derive(Debug, Clone, Copy, Default)]
pub struct BreathInProgress {
    power: f64,
    output_power: f64,
    hops: f64,
    /// The breath so far.
    pub so_far: Breath,
}

impl BreathInProgress {
    /// A breath that begins at `from_s`.
    pub fn starting_at(from_s: f64) -> Self {
        Self {
            so_far: Breath {
                from_s,
                ..Breath::default()
            },
            ..Self::default()
        }
    }

    /// Adds its next hop, which ends at `now_s`.
    pub fn add(&mut self, report: &HopReport, now_s: f64) {
        self.power += power(report.level_lufs);
        self.output_power += power(report.level_lufs + report.breath_gain_db);
        self.hops += 1.0;
        let lufs = |power: f64| (10.0 * (power / self.hops).log10()) as f32;
        self.so_far = Breath {
            until_s: now_s,
            level_lufs: lufs(self.power),
            output_lufs: lufs(self.output_power),
            ..self.so_far
        };
    }
}
