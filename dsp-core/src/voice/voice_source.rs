//! Whose voice sets the threshold: this track's own, or the reference voice on the side-chain.

use crate::analysis::{Analysis, Spectrum};
use crate::clock::timeline::Place;
use crate::clock::timing::Timing;
use crate::loudness::input_level::{InputLevel, READING_LAG_HOPS};
use crate::loudness::k_weighting::KWeighting;
use crate::report::Class;
use crate::settings::{FollowSettings, FollowSource};
use crate::voice::follower::VoiceFollower;

/// A reference without voice for this long is taken for absent: longer than the rests within a verse.
const REFERENCE_SILENT_MS: f32 = 6000.0;
/// The threshold glides between the two voices with this time constant: no sibilant hears a jump.
const GLIDE_MS: f32 = 150.0;

/// One voice that is listened to: its analysis, its level and its follower.
pub(crate) struct ListenedVoice {
    analysis: Analysis,
    level: InputLevel,
    follower: VoiceFollower,
    classes: [Class; READING_LAG_HOPS],
}

/// What a hop told of a voice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Heard {
    pub class: Class,
    /// K-weighted mean square of the last reading.
    pub power: f64,
}

impl ListenedVoice {
    pub fn new(channels: usize, timing: Timing, start_lufs: f32) -> Self {
        let weighting = KWeighting::new(timing.sample_rate_hz);
        let mut voice = Self {
            analysis: Analysis::new(channels, timing, &weighting),
            level: InputLevel::new(channels, weighting),
            follower: VoiceFollower::new(timing),
            classes: [Class::Quiet; READING_LAG_HOPS],
        };
        voice.reset(start_lufs);
        voice
    }

    pub fn reset(&mut self, start_lufs: f32) {
        self.analysis.reset();
        self.level.reset();
        self.follower.reset(start_lufs);
        self.classes = [Class::Quiet; READING_LAG_HOPS];
    }

    /// Goes on as if the grid had run since the song began.
    pub fn lay_grid(&mut self, place: Place) {
        self.analysis.lay_grid(place);
    }

    /// Takes samples that end within the current step or at its end, one slice a channel.
    pub fn push(&mut self, audio: &[&mut [f32]]) {
        self.level.push(audio);
        self.analysis.push(audio);
    }

    /// Closes a step.
    pub fn end_step(&mut self) {
        self.level.end_step();
    }

    /// The mean square of the last window.
    pub fn window_power(&self) -> f64 {
        self.level.window_power()
    }

    /// Closes a hop. `power_gain` is what lies between this voice and the point where its level matters.
    pub fn end_hop(&mut self, power_gain: f64, follow_hops: usize) -> Heard {
        let power = self.level.end_hop();
        let class_now = self.analysis.analyse();
        // The reading lags the window of analysis; the class waits for it.
        let class = self.classes[0];
        self.classes.rotate_left(1);
        self.classes[READING_LAG_HOPS - 1] = class_now;
        self.follower.hear(class, power * power_gain, follow_hops);
        Heard {
            class: class_now,
            power,
        }
    }

    /// The spectrum of the last window.
    pub fn spectrum(&self) -> &Spectrum {
        self.analysis.spectrum()
    }

    pub fn follower(&self) -> &VoiceFollower {
        &self.follower
    }

    fn sounds(&self, silent_hops: usize) -> bool {
        self.follower.heard() && self.follower.hops_since_voice() < silent_hops
    }
}

/// The choice between two voices, and the glide from one to the other.
pub(crate) struct VoiceSource {
    silent_hops: usize,
    glide_decay: f32,
    offset_lu: f32,
    lufs: f32,
    follows_reference: bool,
}

impl VoiceSource {
    pub fn new(timing: Timing) -> Self {
        Self {
            silent_hops: timing.hops(REFERENCE_SILENT_MS),
            glide_decay: timing.hop_decay(GLIDE_MS),
            offset_lu: 0.0,
            lufs: 0.0,
            follows_reference: false,
        }
    }

    pub fn reset(&mut self) {
        (self.offset_lu, self.lufs) = (0.0, 0.0);
        self.follows_reference = false;
    }

    /// The voice level that the threshold follows, LUFS, once a hop. `own` is followed before the makeup that it gets.
    pub fn decide(
        &mut self,
        own: &ListenedVoice,
        own_makeup_db: f32,
        reference: Option<&ListenedVoice>,
        settings: &FollowSettings,
    ) -> f32 {
        let reference = reference
            .filter(|voice| settings.source == FollowSource::Reference && voice.sounds(self.silent_hops));
        let lufs = match reference {
            Some(voice) => voice.follower().lufs(),
            None if own.follower().heard() => own.follower().lufs() + own_makeup_db,
            // Start level is meant as it leaves the leveller.
            None => own.follower().lufs(),
        };
        if self.follows_reference != reference.is_some() {
            self.follows_reference = reference.is_some();
            self.offset_lu = if own.follower().heard() {
                self.lufs - lufs
            } else {
                0.0
            };
        }
        self.offset_lu *= self.glide_decay;
        self.lufs = lufs + self.offset_lu;
        self.lufs
    }

    pub fn follows_reference(&self) -> bool {
        self.follows_reference
    }
}
