//! A voice with its analysis, its level and its follower.

use crate::analysis::{Analysis, HopAnalysis, Spectrum};
use crate::clock::timeline::GridPosition;
use crate::clock::timing::Timing;
use crate::loudness::input_level::{InputLevel, READING_LAG_HOPS};
use crate::loudness::k_weighting::KWeighting;
use crate::report::Class;
use crate::voice::voice_follower::{FollowedHop, VoiceFollower};

/// Analysis windows that lie within a reading of the level; the one in the middle is centred on it.
const WINDOWS_PER_READING: usize = 2 * READING_LAG_HOPS + 1;
/// The least share of a reading's power that lies where voices have theirs, for a hop that counts as voice: the noise of a
/// consonant that overlaps a vowel lies above, and so does a z.
const LEAST_VOICE_SHARE: f32 = 0.5;

/// One tracked voice: the own voice or the reference.
pub(crate) struct TrackedVoice {
    analysis: Analysis,
    level: InputLevel,
    follower: VoiceFollower,
    /// Of the windows within the last reading, oldest first.
    windows: [HopAnalysis; WINDOWS_PER_READING],
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
            level: InputLevel::new(channels, timing, &weighting),
            follower: VoiceFollower::new(timing),
            windows: [HopAnalysis::default(); WINDOWS_PER_READING],
            voiced_power: 0.0,
        };
        voice.reset(start_lufs);
        voice
    }

    pub fn reset(&mut self, start_lufs: f32) {
        self.analysis.reset();
        self.level.reset();
        self.follower.reset(start_lufs);
        self.windows = [HopAnalysis::default(); WINDOWS_PER_READING];
        self.voiced_power = 0.0;
    }

    /// Continues as if the grid had run since the start of the song.
    pub fn align_grid(&mut self, position: GridPosition) {
        self.analysis.align_grid(position);
    }

    /// Adds samples, one slice per channel; they must not reach beyond the end of the current step.
    pub fn push(&mut self, audio: &[&mut [f32]]) {
        self.analysis.push(audio);
    }

    /// Ends a step.
    pub fn end_step(&mut self) {
        self.level.end_step(self.analysis.newest_step());
    }

    /// Mean square over the last analysis window.
    pub fn window_power(&self) -> f64 {
        self.level.window_power()
    }

    /// Ends a hop. `power_gain` leads from this voice to the point where its level is measured.
    pub fn update_hop(&mut self, power_gain: f64, follow_hops: usize) -> HopReading {
        let power = self.level.end_hop(self.analysis.window());
        let newest = self.analysis.update_hop();
        self.windows.rotate_left(1);
        self.windows[WINDOWS_PER_READING - 1] = newest;
        self.follower
            .update_hop(self.followed_hop(power * power_gain), follow_hops);
        self.voiced_power = if self.follower.hops_since_voice() == 0 {
            power * power_gain
        } else {
            0.0
        };
        HopReading {
            class: newest.class,
            power,
        }
    }

    /// What the follower takes. The reading lags the newest analysis window, so class and periodicity are delayed to match.
    fn followed_hop(&self, power: f64) -> FollowedHop {
        let centre = self.windows[WINDOWS_PER_READING - 1 - READING_LAG_HOPS];
        let is_consonant = centre.class == Class::Voice && !self.is_mostly_voice();
        FollowedHop {
            class: if is_consonant {
                Class::Sibilant
            } else {
                centre.class
            },
            periodicity: centre.periodicity,
            power,
        }
    }

    /// True unless most of the reading's power lies above that of voices.
    fn is_mostly_voice(&self) -> bool {
        let (voice, all) = self.windows.iter().fold((0.0, 0.0), |(voice, all), window| {
            (voice + window.voice_power, all + window.power)
        });
        voice >= LEAST_VOICE_SHARE * all
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
