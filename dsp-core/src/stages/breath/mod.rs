//! The breath stage: limits breaths to a proportion of the voice, and optionally cuts their low end.

mod breath_bands;
mod breath_likeness;
mod detector;
mod lasting_noise;
mod likely_breath;
pub(crate) mod whole_breath;

use crate::clock::timing::Timing;
use crate::control::ballistics::{Ballistics, BallisticsDecay};
use crate::control::ramp::Ramp;
use crate::primitives::decibels::{gain_from_db, lufs_from_power};
use crate::primitives::frame::Frame;
use crate::primitives::state_variable::{FilterState, HighPass, MovingHighPass};
use crate::report::Class;
use crate::settings::BreathSettings;
use crate::stages::hop_input::HopInput;
use crate::voice::adaptive_threshold::AdaptiveThreshold;
use detector::BreathDetector;
use whole_breath::KnownBreath;

/// Attack time constant: breaths rise over tens of milliseconds (Nakano et al. 2008: they last 50 to 1225 ms).
const ATTACK_MS: f32 = 8.0;
/// Release time constants: slow in the rest after a breath, so that the background does not pump, and fast once a word
/// begins.
const RELEASE_MS: f32 = 60.0;
const RELEASE_TO_VOICE_MS: f32 = 1.5;
/// Corner of the low cut while it is off, Hz.
const OFF_CORNER_HZ: f32 = 40.0;

/// The detector, the gain and the low cut.
pub(crate) struct Breath {
    timing: Timing,
    detector: BreathDetector,
    voice_active: bool,
    requested_db: f32,
    is_breath: bool,
    cutting: bool,
    reduction: Ballistics,
    cut: Ballistics,
    gain: Ramp,
    cut_share: Ramp,
    low_cut: MovingHighPass,
    /// The state of the low cut; `None` while no breath is possible. It starts when a breath is possible, and has settled
    /// when the breath is confirmed.
    filter: Option<FilterState>,
    cut_possible: bool,
    is_near: bool,
    /// True while nothing is reduced and nothing moves.
    idle: bool,
}

/// Constants derived from the settings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct BreathPlan {
    settings: BreathSettings,
    low_cut: Option<HighPass>,
    in_rest: BallisticsDecay,
    before_voice: BallisticsDecay,
}

impl BreathPlan {
    pub fn new(settings: &BreathSettings, timing: Timing) -> Self {
        let low_cut = |corner_hz| HighPass::new(f64::from(corner_hz), timing.sample_rate_hz);
        let decay = |release_ms| BallisticsDecay {
            attack: timing.step_decay(ATTACK_MS),
            release: timing.step_decay(release_ms),
        };
        Self {
            settings: *settings,
            low_cut: settings.low_cut_hz.map(low_cut),
            in_rest: decay(RELEASE_MS),
            before_voice: decay(RELEASE_TO_VOICE_MS),
        }
    }
}

impl Breath {
    pub fn new(timing: Timing) -> Self {
        let low_cut = HighPass::new(f64::from(OFF_CORNER_HZ), timing.sample_rate_hz);
        Self {
            timing,
            detector: BreathDetector::new(timing),
            voice_active: false,
            requested_db: 0.0,
            is_breath: false,
            cutting: false,
            reduction: Ballistics::default(),
            cut: Ballistics::default(),
            gain: Ramp::resting(1.0),
            cut_share: Ramp::resting(0.0),
            low_cut: MovingHighPass::resting(low_cut),
            filter: None,
            cut_possible: false,
            is_near: false,
            idle: false,
        }
    }

    pub fn reset(&mut self) {
        self.detector.reset();
        (self.requested_db, self.cutting, self.voice_active) = (0.0, false, false);
        self.is_breath = false;
        self.reduction.reset();
        self.cut.reset();
        self.gain = Ramp::resting(1.0);
        self.cut_share = Ramp::resting(0.0);
        (self.filter, self.cut_possible, self.is_near, self.idle) = (None, false, false, false);
    }

    /// Updates the target once per hop.
    pub fn update_hop(&mut self, hop: HopInput, voice_lufs: f32, plan: &BreathPlan) {
        let power = self.detector.update_hop(hop.class, hop.spectrum);
        let known = KnownBreath {
            power: power.map(|power| power * hop.power_gain),
            is_heard: power.is_some(),
            is_before_voice: hop.class != Class::Quiet,
            is_near: self.detector.is_breath_possible(),
        };
        self.update_known(known, voice_lufs, plan);
    }

    /// Updates the target once per hop, where the breath is known already.
    pub fn update_known(&mut self, breath: KnownBreath, voice_lufs: f32, plan: &BreathPlan) {
        let settings = &plan.settings;
        let power = breath.power.filter(|_| settings.on);
        self.requested_db = power.map_or(0.0, |power| {
            let threshold = AdaptiveThreshold {
                voice_lufs,
                proportion_lu: settings.proportion_lu,
            };
            threshold
                .excess_lu(lufs_from_power(power))
                .clamp(0.0, settings.range_db)
        });
        self.cutting = power.is_some() && settings.low_cut_hz.is_some();
        self.voice_active = power.is_none() && breath.is_before_voice;
        self.is_breath = breath.is_heard;
        self.is_near = breath.is_near;
        self.filter.iter_mut().for_each(FilterState::flush_denormals);
    }

    /// Moves gain and low cut towards the target for the next step.
    pub fn update_step(&mut self, plan: &BreathPlan) {
        self.low_cut
            .continue_to(plan.low_cut.unwrap_or(*self.low_cut.end()));
        self.cut_possible = plan.low_cut.is_some() && self.is_near;
        if self.idle && self.requested_db == 0.0 && !self.cutting {
            return;
        }
        let decay = if self.voice_active {
            plan.before_voice
        } else {
            plan.in_rest
        };
        let reduction_db = self.reduction.update_step(self.requested_db, decay);
        let cut_share = self.cut.update_step(if self.cutting { 1.0 } else { 0.0 }, decay);
        self.gain
            .continue_to(gain_from_db(-reduction_db), self.timing.step_samples);
        self.cut_share
            .continue_to(f64::from(cut_share), self.timing.step_samples);
        self.idle = self.gain.rests_at(1.0) && self.cut_share.rests_at(0.0);
    }

    /// True if the hop that is heard belongs to a breath, whether the stage is on or off.
    pub fn is_breath(&self) -> bool {
        self.is_breath
    }

    /// Reduction at the end of the step, 0 or positive.
    pub fn reduction_db(&self) -> f32 {
        self.reduction.reduction_db()
    }

    /// Applies low cut and gain to frames; the first is sample `index` of the step.
    pub fn process(&mut self, frames: &mut [Frame], index: usize) {
        self.cut(frames, index);
        crate::stages::gain::apply(&self.gain, frames, index);
    }

    /// True if it leaves frames as they are.
    pub fn rests(&mut self) -> bool {
        self.cut_rests() && self.gain.rests_at(1.0)
    }

    /// True if the low cut neither acts nor has to be ready; its state is forgotten then.
    fn cut_rests(&mut self) -> bool {
        let rests = self.cut_share.rests_at(0.0) && !self.cut_possible;
        if rests {
            self.filter = None;
        }
        rests
    }

    fn cut(&mut self, frames: &mut [Frame], index: usize) {
        if self.cut_rests() {
            return;
        }
        let resting = self.cut_share.rests_at(0.0);
        let memory = self.filter.get_or_insert_default();
        if resting {
            self.low_cut.end().advance(memory, frames);
            return;
        }
        let mut mix = |frame: &mut Frame, share: f64, high_pass: &HighPass| {
            let cut = high_pass.process(memory, *frame);
            *frame += Frame::splat(share) * (cut - *frame);
        };
        if let Some(&high_pass) = self.low_cut.rest() {
            self.cut_share
                .with_each(frames, index, |frame, share| mix(frame, share, &high_pass));
            return;
        }
        for (frame, index) in frames.iter_mut().zip(index..) {
            let share = f64::from(index as u32 + 1) / self.timing.step_samples as f64;
            mix(frame, self.cut_share.at(index), &self.low_cut.at(share));
        }
    }
}
