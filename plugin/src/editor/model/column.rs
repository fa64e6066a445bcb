//! One column of the timeline: a sixtieth of a second.

use siskin_dsp::{Class, HopReport};

/// What a column shows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Column {
    /// Voice level, LUFS.
    pub voice_lufs: f32,
    /// Adaptive threshold, LUFS.
    pub threshold_lufs: f32,
    /// The most important class of its hops: sibilant, then breath, then voice.
    pub class: Class,
    /// Whether a hop of it belongs to a breath that is confirmed.
    pub is_breath: bool,
    /// Highest sibilance level, LUFS.
    pub sibilance_lufs: Option<f32>,
    /// Lowest gain of the sibilance stage, dB, 0 or negative.
    pub sibilance_gain_db: f32,
    /// Lowest gain of the breath stage, dB, 0 or negative.
    pub breath_gain_db: f32,
    /// Lowest gain of the leveller without makeup, dB, 0 or negative.
    pub leveller_gain_db: f32,
    /// Makeup gain of the leveller, dB.
    pub makeup_db: f32,
}

impl Column {
    /// An empty column at the time of a report.
    pub fn new(report: &HopReport) -> Self {
        Self {
            voice_lufs: report.voice_lufs,
            threshold_lufs: report.threshold_lufs,
            class: Class::Quiet,
            is_breath: false,
            sibilance_lufs: None,
            sibilance_gain_db: 0.0,
            breath_gain_db: 0.0,
            leveller_gain_db: 0.0,
            makeup_db: report.leveller_makeup_db,
        }
    }

    /// Adds a hop.
    pub fn add(&mut self, report: &HopReport) {
        let priority = |class: Class| match class {
            Class::Quiet => 0,
            Class::Voice => 1,
            Class::Breath => 2,
            Class::Sibilant => 3,
        };
        if priority(report.class) > priority(self.class) {
            self.class = report.class;
        }
        self.is_breath |= report.is_breath;
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
