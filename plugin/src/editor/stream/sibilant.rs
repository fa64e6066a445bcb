//! One sibilant: as it came, as it left, and as it was asked to leave.

use siskin_dsp::{HopReport, SibilanceSettings, sibilance_reduction_db};

/// A sibilant, whole or so far.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sibilant {
    /// Its first and its last moment, seconds since the window opened.
    pub from_s: f64,
    /// The last moment.
    pub until_s: f64,
    /// Level as it came, LUFS.
    pub level_lufs: f32,
    /// Level as it left, LUFS.
    pub left_lufs: f32,
    /// The voice around it, LUFS.
    pub voice_lufs: f32,
    /// What Proportion, Ratio and Range ask it to leave at, LUFS.
    pub asked_lufs: f32,
    /// Its deepest reduction, dB, not positive.
    pub gain_db: f32,
    /// The curve of that reduction: depth, dB, and edge, Hz.
    pub curve: (f32, f32),
}

impl Sibilant {
    /// Seconds.
    pub fn lasts_s(&self) -> f32 {
        (self.until_s - self.from_s) as f32
    }
}

/// Sums over the sibilant that sounds.
#[derive(Debug, Clone, Copy, Default)]
pub struct Sounding {
    came: f64,
    left: f64,
    voice_lufs: f64,
    threshold_lufs: f64,
    hops: f64,
    /// The sibilant so far.
    pub so_far: Sibilant,
}

impl Sounding {
    /// One that begins at `from_s`.
    pub fn from(from_s: f64) -> Self {
        Self {
            so_far: Sibilant {
                from_s,
                ..Sibilant::default()
            },
            ..Self::default()
        }
    }

    /// Takes its next hop, which ends at `now_s`.
    pub fn add(&mut self, report: &HopReport, now_s: f64, settings: &SibilanceSettings) {
        let power = |lufs: f32| 10f64.powf(f64::from(lufs) / 10.0);
        self.hops += 1.0;
        self.came += power(report.sibilance_lufs);
        self.left += power(report.sibilance_lufs + report.sibilance_gain_db);
        self.voice_lufs += f64::from(report.voice_lufs);
        self.threshold_lufs += f64::from(report.threshold_lufs);
        let level = |sum: f64| (10.0 * (sum / self.hops).log10()) as f32;
        let level_lufs = level(self.came);
        let excess_db = level_lufs - (self.threshold_lufs / self.hops) as f32;
        let reduction_db = if settings.on {
            sibilance_reduction_db(excess_db, settings.ratio, settings.range_db)
        } else {
            0.0
        };
        let so_far = &mut self.so_far;
        if report.sibilance_gain_db < so_far.gain_db {
            so_far.gain_db = report.sibilance_gain_db;
            so_far.curve = (report.sibilance_depth_db, report.edge_hz);
        }
        *so_far = Sibilant {
            until_s: now_s,
            level_lufs,
            left_lufs: level(self.left),
            voice_lufs: (self.voice_lufs / self.hops) as f32,
            asked_lufs: level_lufs - reduction_db,
            ..*so_far
        };
    }
}
