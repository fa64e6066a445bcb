//! One sibilant: input level, output level and target level.

use siskin_dsp::{HopReport, SibilanceSettings, SibilantSums};

/// A sibilant, complete or so far.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sibilant {
    /// Start, seconds since the window opened.
    pub from_s: f64,
    /// End, seconds since the window opened.
    pub until_s: f64,
    /// Input level, LUFS.
    pub level_lufs: f32,
    /// Output level, LUFS.
    pub output_lufs: f32,
    /// Mean voice level during the sibilant, LUFS.
    pub voice_lufs: f32,
    /// Output level that follows from Proportion, Ratio and Range, LUFS.
    pub target_lufs: f32,
    /// Lowest gain, dB, 0 or negative.
    pub gain_db: f32,
    /// Reduction curve at the lowest gain: depth, dB, and edge, Hz.
    pub curve: (f32, f32),
}

impl Sibilant {
    /// Duration, seconds.
    pub fn duration_s(&self) -> f32 {
        (self.until_s - self.from_s) as f32
    }
}

/// A sibilant that still sounds, with the sums of its hops.
#[derive(Debug, Clone, Copy, Default)]
pub struct SibilantInProgress {
    sums: SibilantSums,
    /// The sibilant so far.
    pub so_far: Sibilant,
}

impl SibilantInProgress {
    /// A sibilant that begins at `from_s`.
    pub fn starting_at(from_s: f64) -> Self {
        Self {
            so_far: Sibilant {
                from_s,
                ..Sibilant::default()
            },
            ..Self::default()
        }
    }

    /// Adds its next hop, which ends at `now_s`.
    pub fn add(&mut self, report: &HopReport, now_s: f64, settings: &SibilanceSettings) {
        self.sums.add(report);
        let levels = self.sums.levels(settings);
        let so_far = &mut self.so_far;
        if report.sibilance_gain_db < so_far.gain_db {
            so_far.gain_db = report.sibilance_gain_db;
            so_far.curve = (report.sibilance_shelf_gain_db, report.edge_hz);
        }
        *so_far = Sibilant {
            until_s: now_s,
            level_lufs: levels.before_lufs,
            output_lufs: levels.left_lufs,
            voice_lufs: levels.voice_lufs,
            target_lufs: levels.asked_lufs,
            ..*so_far
        };
    }
}
