//! The leveller: a feed-forward compressor in the log domain (Giannoulis, Massberg & Reiss 2012) whose detector is
//! blind to sibilants and breaths. It levels voices; while anything else sounds, its gain stands still.

use crate::ballistics::{Ballistics, BallisticsDecay};
use crate::decibels::{db_from_power, gain_from_db};
use crate::gain_computer::{slope_from_ratio, soft_knee_reduction_db};
use crate::ramp::Ramp;
use crate::report::Class;
use crate::settings::LevellerSettings;
use crate::timing::Timing;

/// A full-scale sine reads 0 dB (AES17): its mean square is 3.01 dB below that.
const SINE_DB: f32 = 3.0103;
/// How long a rest must last before the gain recovers: longer than the closure of a stop, so that the burst that
/// follows is not lifted.
const REST_MS: f32 = 250.0;

/// How long the voice must ask for less before the gain follows it up: longer than the fading edge of a word and the
/// nasal or liquid in it, so that the sibilant that follows finds the gain of the vowel (measured on the demo's voice).
const HOLD_MS: f32 = 180.0;

/// The gain's memory.
pub(crate) struct Leveller {
    timing: Timing,
    ballistics: Ballistics,
    quiet_steps: usize,
    rest_steps: usize,
    held_steps: usize,
    hold_steps: usize,
    gain: Ramp,
}

impl Leveller {
    pub fn new(timing: Timing) -> Self {
        Self {
            timing,
            ballistics: Ballistics::default(),
            quiet_steps: 0,
            rest_steps: timing.steps(REST_MS),
            held_steps: 0,
            hold_steps: timing.steps(HOLD_MS),
            gain: Ramp::resting(1.0),
        }
    }

    pub fn reset(&mut self, settings: &LevellerSettings) {
        self.ballistics.reset();
        (self.quiet_steps, self.held_steps) = (0, 0);
        self.gain = Ramp::resting(makeup(settings));
    }

    /// Decides on the gain at the end of the coming step, from the mean square of the last window and its class.
    pub fn decide(&mut self, window_power: f64, class: Class, settings: &LevellerSettings) {
        self.quiet_steps = if class == Class::Quiet {
            self.quiet_steps + 1
        } else {
            0
        };
        let blind = matches!(class, Class::Sibilant | Class::Breath)
            || (class == Class::Quiet && self.quiet_steps < self.rest_steps);
        if !settings.on {
            self.ballistics.reset();
        } else if !blind {
            self.follow(asked_reduction_db(window_power, settings), settings);
        }
        let gain = gain_from_db(-self.ballistics.reduction_db()) * makeup(settings);
        self.gain.continue_to(gain, self.timing.step_samples);
    }

    fn follow(&mut self, asked_db: f32, settings: &LevellerSettings) {
        let asks_less = asked_db < self.ballistics.reduction_db();
        self.held_steps = if asks_less { self.held_steps + 1 } else { 0 };
        if !asks_less || self.held_steps > self.hold_steps {
            self.ballistics.process(asked_db, self.decay(settings));
        }
    }

    fn decay(&self, settings: &LevellerSettings) -> BallisticsDecay {
        BallisticsDecay {
            attack: self.timing.step_decay(settings.attack_ms),
            release: self.timing.step_decay(settings.release_ms),
        }
    }

    /// Power gain, makeup included: what the voice's input power becomes at the leveller's output.
    pub fn power_gain(&self, settings: &LevellerSettings) -> f64 {
        (gain_from_db(-self.ballistics.reduction_db()) * makeup(settings)).powi(2)
    }

    /// Reduction without makeup, positive decibels.
    pub fn reduction_db(&self) -> f32 {
        self.ballistics.reduction_db()
    }

    /// Applies the gain to samples that start at `index` within the step.
    pub fn process(&self, audio: &mut [&mut [f32]], index: usize) {
        crate::gain::apply(&self.gain, audio, index);
    }
}

fn asked_reduction_db(window_power: f64, settings: &LevellerSettings) -> f32 {
    let level_db = db_from_power(window_power) + SINE_DB;
    soft_knee_reduction_db(
        level_db - settings.threshold_db,
        slope_from_ratio(settings.ratio),
        settings.knee_db,
    )
}

fn makeup(settings: &LevellerSettings) -> f64 {
    if settings.on {
        gain_from_db(settings.makeup_db)
    } else {
        1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ON: LevellerSettings = LevellerSettings {
        on: true,
        threshold_db: -20.0,
        ratio: 4.0,
        knee_db: 10.0,
        attack_ms: 4.0,
        release_ms: 120.0,
        makeup_db: 0.0,
    };

    fn sine_power(level_db: f32) -> f64 {
        10f64.powf(f64::from(level_db - SINE_DB) / 10.0)
    }

    // Giannoulis, Massberg & Reiss 2012, equation 4 with threshold -20 dB, ratio 4, knee 10 dB, once settled.
    #[test]
    fn a_steady_voice_is_levelled_along_the_published_curve() {
        for (input_db, output_db) in [(-25.0, -25.0), (-20.0, -20.9375), (-15.0, -18.75), (0.0, -15.0)] {
            let mut leveller = Leveller::new(Timing::new(48_000.0));
            leveller.reset(&ON);
            (0..3000).for_each(|_| leveller.decide(sine_power(input_db), Class::Voice, &ON));
            assert!(
                (input_db - leveller.reduction_db() - output_db).abs() < 0.01,
                "{input_db} dB"
            );
        }
    }

    #[test]
    fn a_sibilant_neither_drives_it_down_nor_lets_it_recover() {
        let mut leveller = Leveller::new(Timing::new(48_000.0));
        leveller.reset(&ON);
        (0..3000).for_each(|_| leveller.decide(sine_power(-10.0), Class::Voice, &ON));
        let before_db = leveller.reduction_db();
        (0..600).for_each(|_| leveller.decide(sine_power(0.0), Class::Sibilant, &ON));
        (0..600).for_each(|_| leveller.decide(sine_power(-60.0), Class::Breath, &ON));
        assert_eq!(leveller.reduction_db(), before_db);
    }

    #[test]
    fn the_fading_edge_of_a_word_is_held_and_a_softer_voice_is_followed() {
        let mut leveller = Leveller::new(Timing::new(48_000.0));
        leveller.reset(&ON);
        (0..3000).for_each(|_| leveller.decide(sine_power(-10.0), Class::Voice, &ON));
        let before_db = leveller.reduction_db();
        (0..150).for_each(|_| leveller.decide(sine_power(-22.0), Class::Voice, &ON));
        assert_eq!(leveller.reduction_db(), before_db);
        (0..6000).for_each(|_| leveller.decide(sine_power(-22.0), Class::Voice, &ON));
        assert!(
            (leveller.reduction_db() - 0.3375).abs() < 0.01,
            "{} dB",
            leveller.reduction_db()
        );
    }
}
