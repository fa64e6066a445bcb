//! Settings on their way to what a person set: the one place where a change of a parameter is smoothed.
//!
//! Continuous values glide once a control step; switches and times take effect at once, since fades and ballistics
//! follow them.

use crate::settings::Settings;
use crate::timing::Timing;

/// Time constant of the glide: a step is through to 99 % in 23 ms.
const GLIDE_MS: f32 = 5.0;
/// Closer than this, in units or as a share, a value has arrived.
const ARRIVED: f32 = 1e-4;

/// Settings that glide.
pub(crate) struct SettingsGlide {
    current: Settings,
    target: Settings,
    decay: f32,
}

impl SettingsGlide {
    pub fn new(timing: Timing, settings: &Settings) -> Self {
        let settings = settings.sanitized(&Settings::default());
        Self {
            current: settings,
            target: settings,
            decay: timing.step_decay(GLIDE_MS),
        }
    }

    /// New values to go to. Those out of range are clamped, those that are no number are ignored.
    pub fn set(&mut self, settings: &Settings) {
        self.target = settings.sanitized(&self.target);
    }

    /// Arrives at once.
    pub fn reset(&mut self) {
        self.current = self.target;
    }

    /// Where the settings stand.
    pub fn current(&self) -> &Settings {
        &self.current
    }

    /// One control step.
    pub fn step(&mut self) {
        if self.current == self.target {
            return;
        }
        let decay = self.decay;
        let glide = |from: f32, to: f32| {
            let next = to + decay * (from - to);
            if (next - to).abs() <= ARRIVED * (1.0 + to.abs()) {
                to
            } else {
                next
            }
        };
        let (from, mut next) = (self.current, self.target);
        next.leveller.threshold_db = glide(from.leveller.threshold_db, next.leveller.threshold_db);
        next.leveller.knee_db = glide(from.leveller.knee_db, next.leveller.knee_db);
        next.leveller.makeup_db = glide(from.leveller.makeup_db, next.leveller.makeup_db);
        next.sibilance.proportion_lu = glide(from.sibilance.proportion_lu, next.sibilance.proportion_lu);
        next.sibilance.range_db = glide(from.sibilance.range_db, next.sibilance.range_db);
        next.sibilance.from_hz = glide(from.sibilance.from_hz, next.sibilance.from_hz);
        next.sibilance.reach = glide(from.sibilance.reach, next.sibilance.reach);
        next.breath.proportion_lu = glide(from.breath.proportion_lu, next.breath.proportion_lu);
        next.breath.range_db = glide(from.breath.range_db, next.breath.range_db);
        next.breath.low_cut_hz = match (from.breath.low_cut_hz, next.breath.low_cut_hz) {
            (Some(from_hz), Some(to_hz)) => Some(glide(from_hz, to_hz)),
            (_, to_hz) => to_hz,
        };
        next.output.gain_db = glide(from.output.gain_db, next.output.gain_db);
        self.current = next;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_glide_arrives_exactly_and_nonsense_changes_nothing() {
        let mut glide = SettingsGlide::new(Timing::new(48_000.0), &Settings::default());
        let mut wanted = Settings::default();
        wanted.output.gain_db = -7.3;
        wanted.sibilance.from_hz = 6000.0;
        wanted.sibilance.ratio = f32::INFINITY;
        glide.set(&wanted);
        (0..300).for_each(|_| glide.step());
        assert_eq!(*glide.current(), wanted);

        let mut nonsense = wanted;
        nonsense.output.gain_db = f32::NAN;
        nonsense.sibilance.from_hz = f32::INFINITY;
        nonsense.sibilance.range_db = 1e9;
        glide.set(&nonsense);
        glide.reset();
        wanted.sibilance.range_db = 24.0;
        assert_eq!(*glide.current(), wanted);
    }
}
