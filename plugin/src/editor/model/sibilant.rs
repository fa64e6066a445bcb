//! One sibilant: input level, output level and target level.

use siskin_dsp::{HopReport, SibilanceSettings, sibilance_reduction_db};

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
    input_power: f64,
    output_power: f64,
    voice_lufs: f64,
    threshold_lufs: f64,
    hops: f64,
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
        let power = |lufs: f32| 10f64.powf(f64::from(lufs) / 10.0);
        self.hops += 1.0;
        self.input_power += power(report.sibilance_lufs);
        self.output_power += power(report.sibilance_lufs + report.sibilance_gain_db);
        self.voice_lufs += f64::from(report.voice_lufs);
        self.threshold_lufs += f64::from(report.threshold_lufs);
        let level = |sum: f64| (10.0 * (sum / self.hops).log10()) as f32;
        let level_lufs = level(self.input_power);
        let excess_db = level_lufs - (self.threshold_lufs / self.hops) as f32;
        let reduction_db = if settings.on {
            sibilance_reduction_db(excess_db, settings.ratio, settings.range_db)
        } else {
            0.0
        };
        let so_far = &mut self.so_far;
        if report.sibilance_gain_db < so_far.gain_db {
            so_far.gain_db = report.sibilance_gain_db;
            so_far.curve = (report.sibilance_shelf_gain_db, report.edge_hz);
        }
        *so_far = Sibilant {
            until_s: now_s,
            level_lufs,
            output_lufs: level(self.output_power),
            voice_lufs: (self.voice_lufs / self.hops) as f32,
            target_lufs: level_lufs - reduction_db,
            ..*so_far
        };
    }
}
