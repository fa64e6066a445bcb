//! A voice with its analysis, its level and its follower.

use crate::analysis::{Analysis, Spectrum};
use crate::clock::timeline::GridPosition;
use crate::clock::timing::Timing;
use crate::loudness::input_level::{InputLevel, READING_LAG_HOPS};
use crate::loudness::k_weighting::KWeighting;
use crate::report::Class;
use crate::voice::voice_follower::VoiceFollower;

/// One tracked voice: the own voice or the reference.
pub(crate) struct TrackedVoice {
    analysis: Analysis,
    level: InputLevel,
    follower: VoiceFollower,
    classes: [Class; READING_LAG_HOPS],
    /// The power that the follower took from the last hop; 0 if that was no voice.
    voiced_power: f64,
}

/// The analysis of one hop of a voice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct HopReading {
    pub class: Class,
    /// K-weighted mean square of the last reading.
    pub power: f64,
}

impl TrackedVoice {
    pub fn new(channels: usize, timing: Timing, start_lufs: f32) -> Self {
        let weighting = KWeighting::new(timing.sample_rate_hz);
        let mut voice = Self {
            analysis: Analysis::new(channels, timing, &weighting),
            level: InputLevel::new(channels, weighting),
            follower: VoiceFollower::new(timing),
            classes: [Class::Quiet; READING_LAG_HOPS],
            voiced_power: 0.0,
        };
        voice.reset(start_lufs);
        voice
    }

    pub fn reset(&mut self, start_lufs: f32) {
        self.analysis.reset();
        self.level.reset();
        self.follower.reset(start_lufs);
        self.classes = [Class::Quiet; READING_LAG_HOPS];
        self.voiced_power = 0.0;
    }

    /// Continues as if the grid had run since the start of the song.
    pub fn align_grid(&mut self, position: GridPosition) {
        self.analysis.align_grid(position);
    }

    /// Adds samples, one slice per channel; they must not reach beyond the end of the current step.
    pub fn push(&mut self, audio: &[&mut [f32]]) {
        self.level.push(audio);
        self.analysis.push(audio);
    }

    /// Ends a step.
    pub fn end_step(&mut self) {
        self.level.end_step();
    }

    /// Mean square over the last analysis window.
    pub fn window_power(&self) -> f64 {
        self.level.window_power()
    }

    /// Ends a hop. `power_gain` leads from this voice to the point where its level is measured.
    pub fn update_hop(&mut self, power_gain: f64, follow_hops: usize) -> HopReading {
        let power = self.level.end_hop();
        let newest_class = self.analysis.update_hop();
        // The reading lags the analysis window, so the class is delayed to match.
        let delayed_class = self.classes[0];
        self.classes.rotate_left(1);
        self.classes[READING_LAG_HOPS - 1] = newest_class;
        self.follower
            .update_hop(delayed_class, power * power_gain, follow_hops);
        self.voiced_power = if self.follower.hops_since_voice() == 0 {
            power * power_gain
        } else {
            0.0
        };
        HopReading {
            class: newest_class,
            power,
        }
    }

    /// The power of the voice, as the follower takes it, [`READING_LAG_HOPS`] before the last hop; 0 if that was no voice.
    pub fn voiced_power(&self) -> f64 {
        self.voiced_power
    }

    /// The spectrum of the last window.
    pub fn spectrum(&self) -> &Spectrum {
        self.analysis.spectrum()
    }

    pub fn follower(&self) -> &VoiceFollower {
        &self.follower
    }

    /// True if a voice was present within the last `timeout_hops`.
    pub fn is_present(&self, timeout_hops: usize) -> bool {
        self.follower.has_voice() && self.follower.hops_since_voice() < timeout_hops
    }
}
