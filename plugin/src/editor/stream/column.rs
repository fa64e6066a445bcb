//! One column of the stream: what a sixtieth of a second held.

use siskin_dsp::{Class, HopReport};

/// What a column shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Voice level, LUFS.
    pub voice_lufs: f32,
    /// Adaptive threshold, LUFS.
    pub threshold_lufs: f32,
    /// Of its hops, what counts most: a sibilant, a breath, the voice.
    pub class: Class,
    /// The loudest sibilant, LUFS.
    pub sibilance_lufs: Option<f32>,
    /// The deepest reduction of the sibilance stage, dB, not positive.
    pub sibilance_gain_db: f32,
    /// The deepest reduction of the breath stage, dB, not positive.
    pub breath_gain_db: f32,
    /// The leveller's deepest gain, dB, not positive.
    pub leveller_gain_db: f32,
    /// What the leveller adds, dB.
    pub makeup_db: f32,
}

impl Column {
    /// Before its first hop.
    pub fn of(report: &HopReport) -> Self {
        Self {
            voice_lufs: report.voice_lufs,
            threshold_lufs: report.threshold_lufs,
            class: Class::Quiet,
            sibilance_lufs: None,
            sibilance_gain_db: 0.0,
            breath_gain_db: 0.0,
            leveller_gain_db: 0.0,
            makeup_db: report.leveller_makeup_db,
        }
    }

    /// Takes a hop.
    pub fn add(&mut self, report: &HopReport) {
        let weight = |class: Class| match class {
            Class::Quiet => 0,
            Class::Voice => 1,
            Class::Breath => 2,
            Class::Sibilant => 3,
        };
        if weight(report.class) > weight(self.class) {
            self.class = report.class;
        }
        if report.class == Class::Sibilant {
            let loudest = self.sibilance_lufs.unwrap_or(f32::NEG_INFINITY);
            self.sibilance_lufs = Some(loudest.max(report.sibilance_lufs));
        }
        self.voice_lufs = report.voice_lufs;
        self.threshold_lufs = report.threshold_lufs;
        self.makeup_db = report.leveller_makeup_db;
        self.sibilance_gain_db = self.sibilance_gain_db.min(report.sibilance_gain_db);
        self.breath_gain_db = self.breath_gain_db.min(report.breath_gain_db);
        self.leveller_gain_db = self.leveller_gain_db.min(report.leveller_gain_db);
    }
}
