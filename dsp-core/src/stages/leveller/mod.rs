//! The leveller: a feed-forward compressor in the log domain (Giannoulis, Massberg & Reiss 2012) whose detector is
//! blind to sibilants and breaths. It levels voices; while anything else sounds, its gain stands still.

mod attention;
mod auto_makeup;
mod curve;
mod program_release;
mod recent_maximum;

use crate::clock::timing::Timing;
use crate::control::ramp::Ramp;
use crate::control::smoothing::{Glide, share};
use crate::primitives::decibels::{gain_from_db, power_from_db, power_from_lufs};
use crate::primitives::frame::Frame;
use crate::report::Class;
use crate::settings::LevellerSettings;

use attention::{Attention, AttentionSpan};
use auto_makeup::AutoMakeup;
use curve::{Curve, level_db};
use program_release::{ProgramRelease, ReleaseDecays};

/// A voice whose reduction lags what is asked for by more is still being caught by the attack: a millisecond of that
/// would count as much in the automatic makeup as a third of a second of levelled voice.
const CAUGHT_DB: f32 = 1.0;
/// Time constant that rounds the corner at which the reduction turns from release to attack and back: too short to be
/// heard in an attack, long enough that the steepest step of a setting leaves nothing beside a loud tone.
const ROUNDING_MS: f32 = 1.0;
/// Closer than this the rounded reduction has arrived.
const ARRIVED_DB: f32 = 1e-6;

/// The gain's memory.
pub(crate) struct Leveller {
    timing: Timing,
    attention: AttentionSpan,
    release: ProgramRelease,
    auto_makeup: AutoMakeup,
    /// Shares of what is switched on.
    on: Glide,
    auto: Glide,
    rounding: f32,
    start_db: f32,
    caught: bool,
    /// The curve with which all was forgotten: it is off, and has faded out.
    forgotten: Option<Curve>,
    reduction_db: f32,
    makeup_db: f32,
    gain: Ramp,
}

/// What follows from the settings.
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
            curve: Curve::of(settings),
            release: ReleaseDecays::new(settings, timing),
        }
    }
}

impl Leveller {
    /// For a sound that leaves a delay of `lookahead_samples` after it was heard.
    pub fn new(timing: Timing, lookahead_samples: usize) -> Self {
        Self {
            timing,
            attention: AttentionSpan::new(timing, lookahead_samples),
            release: ProgramRelease::new(timing),
            auto_makeup: AutoMakeup::new(timing),
            on: Glide::new(timing, 0.0),
            auto: Glide::new(timing, 0.0),
            rounding: timing.step_decay(ROUNDING_MS),
            start_db: 0.0,
            caught: false,
            forgotten: None,
            reduction_db: 0.0,
            makeup_db: 0.0,
            gain: Ramp::resting(1.0),
        }
    }

    /// Takes the length of the delay; to be followed by a reset.
    pub fn set_lookahead(&mut self, lookahead_samples: usize) {
        self.attention = AttentionSpan::new(self.timing, lookahead_samples);
    }

    /// Forgets all sound. `start_lufs` is the voice that automatic makeup expects until one is heard.
    pub fn reset(&mut self, plan: &LevellerPlan, start_lufs: f32) {
        let settings = &plan.settings;
        self.start_db = level_db(power_from_lufs(start_lufs));
        self.attention.reset();
        self.on.reset(share(settings.on));
        self.auto.reset(share(settings.auto_makeup));
        self.forget(plan.curve);
        self.forgotten = None;
        self.reduction_db = 0.0;
        self.settle(settings.makeup_db);
        self.gain = Ramp::resting(self.gain_now());
    }

    /// Decides on the gain at the end of the coming step, from the mean square of the last window and its class.
    pub fn decide(&mut self, window_power: f64, class: Class, plan: &LevellerPlan) {
        let (settings, curve) = (&plan.settings, plan.curve);
        let attention = self.attention.step(class);
        if !settings.on && self.rests_off(plan) {
            return;
        }
        let on = self.on.step(share(settings.on));
        self.auto.step(share(settings.auto_makeup));
        self.forgotten = None;
        if settings.on {
            self.auto_makeup.set(curve);
            self.follow(window_power, attention, plan);
        } else if on == 0.0 {
            self.forget(curve);
            self.forgotten = (self.reduction_db == 0.0).then_some(curve);
        }
        self.settle(settings.makeup_db);
        self.gain.continue_to(self.gain_now(), self.timing.step_samples);
    }

    /// True where another step of being off would change nothing.
    fn rests_off(&self, plan: &LevellerPlan) -> bool {
        self.forgotten == Some(plan.curve)
            && self.auto.value() == share(plan.settings.auto_makeup)
            && self.gain.rests_at(1.0)
    }

    fn follow(&mut self, window_power: f64, attention: Attention, plan: &LevellerPlan) {
        match attention {
            Attention::Voice => {
                let asked_db = plan.curve.reduction_db(level_db(window_power));
                self.release.follow(asked_db, &plan.release);
                self.caught = asked_db <= self.release.reduction_db() + CAUGHT_DB;
            }
            Attention::Rest => self.release.rest(&plan.release),
            Attention::Still => {}
        }
    }

    /// Takes the K-weighted mean square of a voiced hop of the input, for the automatic makeup.
    pub fn hear_voice(&mut self, power: f64) {
        if self.caught {
            self.auto_makeup.hear(power, self.release.reduction_db());
        }
    }

    fn forget(&mut self, curve: Curve) {
        self.release.reset();
        self.caught = false;
        self.auto_makeup.reset(self.start_db, curve);
    }

    fn settle(&mut self, manual_makeup_db: f32) {
        let (on, auto) = (self.on.value() as f32, self.auto.value() as f32);
        let turned_db = on * self.release.reduction_db();
        let away_db = self.rounding * (self.reduction_db - turned_db);
        self.reduction_db = if away_db.abs() < ARRIVED_DB {
            turned_db
        } else {
            turned_db + away_db
        };
        self.makeup_db = on * (manual_makeup_db + auto * self.auto_makeup.db());
    }

    fn gain_now(&self) -> f64 {
        gain_from_db(self.makeup_db - self.reduction_db)
    }

    /// Power gain, makeup included: what the voice's input power becomes at the leveller's output.
    pub fn power_gain(&self) -> f64 {
        power_from_db(self.makeup_db - self.reduction_db)
    }

    /// Power gain without makeup: what is remembered of a voice must not depend on a fader that moved since.
    pub fn reduction_power_gain(&self) -> f64 {
        power_from_db(-self.reduction_db)
    }

    /// Reduction without makeup, positive decibels.
    pub fn reduction_db(&self) -> f32 {
        self.reduction_db
    }

    /// Makeup, manual and automatic, decibels.
    pub fn makeup_db(&self) -> f32 {
        self.makeup_db
    }

    /// Applies the gain to frames that start at `index` within the step.
    pub fn process(&self, frames: &mut [Frame], index: usize) {
        crate::stages::gain::apply(&self.gain, frames, index);
    }
}

#[cfg(test)]
mod tests {
    use super::curve::SINE_DB;
    use super::*;

    const ON: LevellerSettings = LevellerSettings {
        on: true,
        threshold_db: -20.0,
        ratio: 4.0,
        knee_db: 10.0,
        attack_ms: 4.0,
        release_ms: 120.0,
        makeup_db: 0.0,
        auto_makeup: false,
    };

    fn plan() -> LevellerPlan {
        LevellerPlan::new(&ON, Timing::new(48_000.0))
    }

    fn sine_power(level_db: f32) -> f64 {
        10f64.powf(f64::from(level_db - SINE_DB) / 10.0)
    }

    // Giannoulis, Massberg & Reiss 2012, equation 4 with threshold -20 dB, ratio 4, knee 10 dB, once settled.
    #[test]
    fn a_steady_voice_is_levelled_along_the_published_curve() {
        for (input_db, output_db) in [(-25.0, -25.0), (-20.0, -20.9375), (-15.0, -18.75), (0.0, -15.0)] {
            let mut leveller = Leveller::new(Timing::new(48_000.0), 240);
            leveller.reset(&plan(), -24.0);
            (0..3000).for_each(|_| leveller.decide(sine_power(input_db), Class::Voice, &plan()));
            assert!(
                (input_db - leveller.reduction_db() - output_db).abs() < 0.01,
                "{input_db} dB"
            );
        }
    }

    #[test]
    fn a_sibilant_neither_drives_it_down_nor_lets_it_recover() {
        let mut leveller = Leveller::new(Timing::new(48_000.0), 240);
        leveller.reset(&plan(), -24.0);
        (0..3000).for_each(|_| leveller.decide(sine_power(-10.0), Class::Voice, &plan()));
        let before_db = leveller.reduction_db();
        (0..600).for_each(|_| leveller.decide(sine_power(0.0), Class::Sibilant, &plan()));
        (0..600).for_each(|_| leveller.decide(sine_power(-60.0), Class::Breath, &plan()));
        assert_eq!(leveller.reduction_db(), before_db);
    }

    #[test]
    fn one_that_was_off_for_long_is_as_new() {
        let off = LevellerPlan::new(&LevellerSettings { on: false, ..ON }, Timing::new(48_000.0));
        let levellers = [2000, 0].map(|steps| {
            let mut leveller = Leveller::new(Timing::new(48_000.0), 240);
            leveller.reset(&off, -24.0);
            (0..steps).for_each(|_| leveller.decide(sine_power(-3.0), Class::Voice, &plan()));
            (0..2000).for_each(|_| leveller.decide(sine_power(-3.0), Class::Voice, &off));
            assert!(leveller.rests_off(&off) && leveller.gain_now() == 1.0);
            (0..700).for_each(|_| leveller.decide(sine_power(-10.0), Class::Voice, &plan()));
            (leveller.reduction_db(), leveller.gain)
        });
        assert!(levellers[0].0 > 3.0);
        assert_eq!(levellers[0], levellers[1]);
    }

    #[test]
    fn the_fading_edge_of_a_word_is_held_and_a_softer_voice_is_followed() {
        let mut leveller = Leveller::new(Timing::new(48_000.0), 240);
        leveller.reset(&plan(), -24.0);
        (0..3000).for_each(|_| leveller.decide(sine_power(-10.0), Class::Voice, &plan()));
        let before_db = leveller.reduction_db();
        (0..150).for_each(|_| leveller.decide(sine_power(-22.0), Class::Voice, &plan()));
        assert!((leveller.reduction_db() - before_db).abs() < 1e-3);
        (0..20_000).for_each(|_| leveller.decide(sine_power(-22.0), Class::Voice, &plan()));
        assert!(
            (leveller.reduction_db() - 0.3375).abs() < 0.01,
            "{} dB",
            leveller.reduction_db()
        );
    }
}
