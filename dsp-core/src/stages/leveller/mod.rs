//! The leveller: a feed-forward compressor in the log domain (Giannoulis, Massberg & Reiss 2012). Its detector ignores
//! sibilants and breaths; the gain is held while anything but a voice sounds.

mod auto_makeup;
mod curve;
mod gain_mode;
mod program_release;

use crate::clock::timing::{STEPS_PER_HOP, Timing};
use crate::control::ramp::Ramp;
use crate::control::smoothing::{Glide, share};
use crate::primitives::decibels::{gain_from_db, power_from_db, power_from_lufs};
use crate::report::Class;
use crate::settings::LevellerSettings;

use auto_makeup::AutoMakeup;
use curve::{Curve, level_db};
use gain_mode::{GainMode, GainModeSelector};
use program_release::{ProgramRelease, ReleaseDecays};

/// While the reduction lags the request by more than this, the attack is not finished. Such hops are left out of automatic
/// makeup: one millisecond of them would count as much as a third of a second of levelled voice.
const ATTACK_LAG_DB: f32 = 1.0;
/// Time constant of the smoothing where the reduction turns between release and attack: inaudible in an attack, but long
/// enough that the largest step of a setting adds nothing audible to a loud tone.
const SMOOTHING_MS: f32 = 1.0;
/// Distance at which the smoothed reduction has arrived.
const ARRIVED_DB: f32 = 1e-6;

/// The leveller.
pub(crate) struct Leveller {
    timing: Timing,
    gain_mode: GainModeSelector,
    release: ProgramRelease,
    auto_makeup: AutoMakeup,
    /// The fading switches.
    on: Glide,
    auto: Glide,
    smoothing: f32,
    start_db: f32,
    attack_finished: bool,
    /// Set while the leveller is off and has faded out: the curve for which its detectors were reset.
    reset_for: Option<Curve>,
    reduction_db: f32,
    makeup_db: f32,
    /// Of the steps that were updated together.
    gains: [Ramp; STEPS_PER_HOP],
    /// The current one of them, and how many they are.
    step: usize,
    steps: usize,
}

/// Constants derived from the settings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LevellerPlan {
    settings: LevellerSettings,
    curve: Curve,
    release: ReleaseDecays,
}

impl LevellerPlan {
    pub fn new(settings: &LevellerSettings, timing: Timing) -> Self {
        Self {
            settings: *settings,
            curve: Curve::new(settings),
            release: ReleaseDecays::new(settings, timing),
        }
    }
}

impl Leveller {
    /// For a delay of `lookahead_samples` between analysis and output.
    pub fn new(timing: Timing, lookahead_samples: usize) -> Self {
        Self {
            timing,
            gain_mode: GainModeSelector::new(timing, lookahead_samples),
            release: ProgramRelease::new(timing),
            auto_makeup: AutoMakeup::new(timing),
            on: Glide::new(timing, 0.0),
            auto: Glide::new(timing, 0.0),
            smoothing: timing.step_decay(SMOOTHING_MS),
            start_db: 0.0,
            attack_finished: false,
            reset_for: None,
            reduction_db: 0.0,
            makeup_db: 0.0,
            gains: [Ramp::resting(1.0); STEPS_PER_HOP],
            step: 0,
            steps: 1,
        }
    }

    /// Changes the length of the delay; call [`Self::reset`] afterwards.
    pub fn set_lookahead(&mut self, lookahead_samples: usize) {
        self.gain_mode = GainModeSelector::new(self.timing, lookahead_samples);
    }

    /// Clears all state. Automatic makeup assumes a voice of `start_lufs` until one is present.
    pub fn reset(&mut self, plan: &LevellerPlan, start_lufs: f32) {
        let settings = &plan.settings;
        self.start_db = level_db(power_from_lufs(start_lufs));
        self.gain_mode.reset();
        self.on.reset(share(settings.on));
        self.auto.reset(share(settings.auto_makeup));
        self.reset_detectors(plan.curve);
        self.reset_for = None;
        self.reduction_db = 0.0;
        self.update_gains(settings.makeup_db);
        self.gains = [Ramp::resting(gain_from_db(self.gain_db())); STEPS_PER_HOP];
        (self.step, self.steps) = (0, 1);
    }

    /// Goes on to the next of the steps that were updated together; false if there is none.
    pub fn next_step(&mut self) -> bool {
        let is_known = self.step + 1 < self.steps;
        self.step += usize::from(is_known);
        is_known
    }

    /// Sets the gains at the end of the next steps (1 to 4), from the mean square of the window before each and the class of the
    /// last window. Steps that are updated together do not wait for the logarithm and the power of the one before.
    pub fn update_steps(&mut self, window_powers: &[f64], class: Class, plan: &LevellerPlan) {
        let (mut last, steps) = (self.gains[self.steps - 1], window_powers.len());
        (self.step, self.steps) = (0, steps);
        let mut values_db = [0.0; STEPS_PER_HOP];
        let values_db = &mut values_db[..steps];
        if plan.settings.on && class == Class::Voice {
            for (requested_db, &power) in values_db.iter_mut().zip(window_powers) {
                *requested_db = plan.curve.reduction_db(level_db(power));
            }
        }
        for value_db in &mut *values_db {
            *value_db = self.update_step(*value_db, class, plan);
        }
        for (gain, &mut gain_db) in self.gains.iter_mut().zip(values_db) {
            last.continue_to(gain_from_db(gain_db), self.timing.step_samples);
            *gain = last;
        }
    }

    /// One step; returns the gain at its end, dB.
    fn update_step(&mut self, requested_db: f32, class: Class, plan: &LevellerPlan) -> f32 {
        let (settings, curve) = (&plan.settings, plan.curve);
        let mode = self.gain_mode.update_step(class);
        if settings.on || !self.is_idle(plan) {
            let on = self.on.step(share(settings.on));
            self.auto.step(share(settings.auto_makeup));
            self.reset_for = None;
            if settings.on {
                self.auto_makeup.set_curve(curve);
                self.update_reduction(requested_db, mode, plan);
            } else if on == 0.0 {
                self.reset_detectors(curve);
                self.reset_for = (self.reduction_db == 0.0).then_some(curve);
            }
            self.update_gains(settings.makeup_db);
        }
        self.gain_db()
    }

    /// True if the leveller is off and another step would change nothing.
    fn is_idle(&self, plan: &LevellerPlan) -> bool {
        self.reset_for == Some(plan.curve) && self.auto.value() == share(plan.settings.auto_makeup)
    }

    fn update_reduction(&mut self, requested_db: f32, mode: GainMode, plan: &LevellerPlan) {
        match mode {
            GainMode::Follow => {
                self.release.follow(requested_db, &plan.release);
                self.attack_finished = requested_db <= self.release.reduction_db() + ATTACK_LAG_DB;
            }
            GainMode::Recover => self.release.recover(&plan.release),
            GainMode::Hold => {}
        }
    }

    /// Adds the K-weighted mean square of a voiced hop of the input to the automatic makeup.
    pub fn add_voiced_hop(&mut self, power: f64) {
        if self.attack_finished {
            self.auto_makeup
                .add_voiced_hop(power, self.release.reduction_db());
        }
    }

    fn reset_detectors(&mut self, curve: Curve) {
        self.release.reset();
        self.attack_finished = false;
        self.auto_makeup.reset(self.start_db, curve);
    }

    /// Updates the smoothed reduction and the makeup.
    fn update_gains(&mut self, manual_makeup_db: f32) {
        let (on, auto) = (self.on.value() as f32, self.auto.value() as f32);
        let switched_db = on * self.release.reduction_db();
        let distance_db = self.smoothing * (self.reduction_db - switched_db);
        self.reduction_db = if distance_db.abs() < ARRIVED_DB {
            switched_db
        } else {
            switched_db + distance_db
        };
        self.makeup_db = on * (manual_makeup_db + auto * self.auto_makeup.makeup_db());
    }

    /// Makeup and reduction.
    fn gain_db(&self) -> f32 {
        self.makeup_db - self.reduction_db
    }

    /// Power gain from the input to the leveller's output, makeup included.
    pub fn power_gain(&self) -> f64 {
        power_from_db(self.gain_db())
    }

    /// Power gain without makeup: the voice follower must not depend on a makeup that may change later.
    pub fn reduction_power_gain(&self) -> f64 {
        power_from_db(-self.reduction_db)
    }

    /// Reduction without makeup, 0 or positive.
    pub fn reduction_db(&self) -> f32 {
        self.reduction_db
    }

    /// Manual and automatic makeup together.
    pub fn makeup_db(&self) -> f32 {
        self.makeup_db
    }

    /// The gain, makeup included, in the current step.
    pub fn gain(&self) -> &Ramp {
        &self.gains[self.step]
    }
}

#[cfg(test)]
mod tests;
