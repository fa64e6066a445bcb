//! The breath stage: breaths are held at a proportion of the voice, and may lose their low end.

use crate::analysis::Spectrum;
use crate::ballistics::{Ballistics, BallisticsDecay};
use crate::breath_detector::BreathDetector;
use crate::decibels::{gain_from_db, lufs_from_power};
use crate::ramp::Ramp;
use crate::report::Class;
use crate::settings::BreathSettings;
use crate::state_variable::{HighPass, Memory};
use crate::timing::Timing;

/// Time constant on the way down: breaths swell over tens of milliseconds (Nakano et al. 2008: they last 50 to 1225 ms).
const ATTACK_MS: f32 = 8.0;
/// Time constants on the way back: slow in the rest between a breath and the word, so that the room is not pumped up, and
/// fast once the word begins.
const RELEASE_MS: f32 = 60.0;
const RELEASE_TO_VOICE_MS: f32 = 1.5;
/// The low cut's corner while it is off: out of the way of everything.
const RESTING_CORNER_HZ: f32 = 40.0;

/// The detector, the gain and the low cut.
pub(crate) struct Breath {
    timing: Timing,
    detector: BreathDetector,
    voice_sounds: bool,
    asked_db: f32,
    cutting: bool,
    reduction: Ballistics,
    cut: Ballistics,
    gain: Ramp,
    cut_share: Ramp,
    /// The low cut at the start and at the end of a step.
    cut_from: HighPass,
    cut_to: HighPass,
    filters: Vec<Memory>,
}

impl Breath {
    pub fn new(channels: usize, timing: Timing) -> Self {
        let low_cut = HighPass::new(f64::from(RESTING_CORNER_HZ), timing.sample_rate_hz);
        Self {
            timing,
            detector: BreathDetector::new(timing),
            voice_sounds: false,
            asked_db: 0.0,
            cutting: false,
            reduction: Ballistics::default(),
            cut: Ballistics::default(),
            gain: Ramp::resting(1.0),
            cut_share: Ramp::resting(0.0),
            cut_from: low_cut,
            cut_to: low_cut,
            filters: vec![Memory::default(); channels],
        }
    }

    pub fn reset(&mut self) {
        self.detector.reset();
        (self.asked_db, self.cutting, self.voice_sounds) = (0.0, false, false);
        self.reduction.reset();
        self.cut.reset();
        self.gain = Ramp::resting(1.0);
        self.cut_share = Ramp::resting(0.0);
        self.filters.fill(Memory::default());
    }

    /// Decides once a hop: the input's class and spectrum, the leveller's power gain, the voice level.
    pub fn decide(
        &mut self,
        (class, spectrum): (Class, &Spectrum),
        leveller_power_gain: f64,
        voice_lufs: f32,
        settings: &BreathSettings,
    ) {
        let breath_power = self.detector.hear(class, spectrum).filter(|_| settings.on);
        self.asked_db = breath_power.map_or(0.0, |power| {
            let level_lu = lufs_from_power(power * leveller_power_gain) - voice_lufs;
            (level_lu - settings.proportion_lu).clamp(0.0, settings.range_db)
        });
        self.cutting = breath_power.is_some() && settings.low_cut_hz.is_some();
        self.voice_sounds = breath_power.is_none() && class != Class::Quiet;
        self.filters.iter_mut().for_each(Memory::flush_denormals);
    }

    /// Moves gain and low cut towards the last decision, to the end of the coming step.
    pub fn step(&mut self, settings: &BreathSettings) {
        let decay = BallisticsDecay {
            attack: self.timing.step_decay(ATTACK_MS),
            release: self.timing.step_decay(if self.voice_sounds {
                RELEASE_TO_VOICE_MS
            } else {
                RELEASE_MS
            }),
        };
        let reduction_db = self.reduction.process(self.asked_db, decay);
        let cut_share = self.cut.process(if self.cutting { 1.0 } else { 0.0 }, decay);
        self.gain
            .continue_to(gain_from_db(-reduction_db), self.timing.step_samples);
        self.cut_share
            .continue_to(f64::from(cut_share), self.timing.step_samples);
        self.cut_from = self.cut_to;
        if let Some(corner_hz) = settings.low_cut_hz {
            self.cut_to = HighPass::new(f64::from(corner_hz), self.timing.sample_rate_hz);
        }
    }

    /// Reduction at the end of the step, positive decibels.
    pub fn reduction_db(&self) -> f32 {
        self.reduction.reduction_db()
    }

    /// Applies low cut and gain to samples that start at `index` within the step.
    pub fn process(&mut self, audio: &mut [&mut [f32]], index: usize) {
        let resting = self.cut_share.rests_at(0.0);
        let per_sample = 1.0 / self.timing.step_samples as f64;
        for (filter, channel) in self.filters.iter_mut().zip(audio.iter_mut()) {
            for (n, sample) in channel.iter_mut().enumerate() {
                let dry = f64::from(*sample);
                let low_cut = self
                    .cut_from
                    .towards(&self.cut_to, (index + n + 1) as f64 * per_sample);
                let cut = low_cut.process(filter, dry);
                if !resting {
                    *sample = (dry + self.cut_share.at(index + n) * (cut - dry)) as f32;
                }
            }
        }
        crate::gain::apply(&self.gain, audio, index);
    }
}
