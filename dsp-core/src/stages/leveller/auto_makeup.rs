//! Automatic makeup: the gain that restores the level of the voice before levelling.
//!
//! It compares the K-weighted voice level (the voiced hops of the voice follower) before and after the reduction, averaged
//! over more than a section of a song. The loudest section dominates, and a softer one changes little, so the makeup does
//! not undo the levelling. When the curve changes, the makeup changes at once by the difference of the curves at the level
//! of the voice. Before a voice is present it is the reduction of a voice at the start level.

use crate::clock::timing::Timing;
use crate::primitives::decibels::{db_from_power, power_from_db};

use super::curve::{Curve, level_db};

/// Time constant of the averages: some sections of a song.
const AVERAGE_S: f32 = 60.0;
/// Time constant of the makeup as a share of the voiced time so far, and its limits: fast after a start, then about as slow
/// as a hand on a fader (measured on the demo's song and on real voices).
const TIME_SHARE: f32 = 0.25;
const MIN_TIME_S: f32 = 0.1;
const MAX_TIME_S: f32 = 3.0;
/// The same limit as for manual makeup.
const MAX_DB: f32 = 30.0;

/// The makeup and the averages it is computed from.
pub(crate) struct AutoMakeup {
    hop_s: f32,
    keep: f64,
    curve: Curve,
    start_db: f32,
    voiced_s: f32,
    /// Decaying sums: hops, powers before the reduction, powers after it.
    hops: f64,
    before: f64,
    after: f64,
    makeup_db: f32,
}

impl AutoMakeup {
    pub fn new(timing: Timing) -> Self {
        Self {
            hop_s: (timing.hop_samples as f64 / timing.sample_rate_hz) as f32,
            keep: f64::from(timing.hop_decay(1e3 * AVERAGE_S)),
            curve: Curve::default(),
            start_db: 0.0,
            voiced_s: 0.0,
            hops: 0.0,
            before: 0.0,
            after: 0.0,
            makeup_db: 0.0,
        }
    }

    /// Clears the averages. Until a voice is present, one of `start_db` dB RMS is assumed.
    pub fn reset(&mut self, start_db: f32, curve: Curve) {
        (self.start_db, self.curve) = (start_db, curve);
        self.voiced_s = 0.0;
        (self.hops, self.before, self.after) = (0.0, 0.0, 0.0);
        self.makeup_db = curve.reduction_db(start_db).min(MAX_DB);
    }

    /// Sets the curve. The averages are converted as if the voice had been levelled by it all the time.
    pub fn set_curve(&mut self, curve: Curve) {
        if curve == self.curve {
            return;
        }
        let voice_db = self.voice_db();
        let more_db = curve.reduction_db(voice_db) - self.curve.reduction_db(voice_db);
        self.curve = curve;
        self.after *= power_from_db(-more_db);
        self.makeup_db = (self.makeup_db + more_db).clamp(0.0, MAX_DB);
    }

    /// Adds a voiced hop of K-weighted mean square `power` that is reduced by `reduction_db`.
    pub fn add_voiced_hop(&mut self, power: f64, reduction_db: f32) {
        if power <= 0.0 {
            return;
        }
        self.hops = self.keep * self.hops + 1.0;
        self.before = self.keep * self.before + power;
        self.after = self.keep * self.after + power * power_from_db(-reduction_db);
        let lost_db = db_from_power(self.before / self.after).clamp(0.0, MAX_DB);
        self.voiced_s = (self.voiced_s + self.hop_s).min(MAX_TIME_S / TIME_SHARE);
        let time_s = (TIME_SHARE * self.voiced_s).max(MIN_TIME_S);
        self.makeup_db += self.hop_s / time_s * (lost_db - self.makeup_db);
    }

    /// The average level of the voice, dB RMS.
    fn voice_db(&self) -> f32 {
        if self.hops > 0.0 {
            level_db(self.before / self.hops)
        } else {
            self.start_db
        }
    }

    /// The makeup, 0 ... 30 dB.
    pub fn makeup_db(&self) -> f32 {
        self.makeup_db
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CURVE: Curve = Curve {
        threshold_db: -40.0,
        slope: 0.9,
        knee_db: 18.0,
    };

    fn add_voice(makeup: &mut AutoMakeup, power: f64, reduction_db: f32, seconds: usize) {
        (0..750 * seconds).for_each(|_| makeup.add_voiced_hop(power, reduction_db));
    }

    fn started() -> AutoMakeup {
        let mut makeup = AutoMakeup::new(Timing::new(48_000.0));
        makeup.reset(-20.0, CURVE);
        makeup
    }

    #[test]
    fn it_starts_at_the_start_level_and_restores_the_reduction() {
        let mut makeup = started();
        assert!(
            (makeup.makeup_db() - 18.0).abs() < 1e-3,
            "{} dB",
            makeup.makeup_db()
        );
        add_voice(&mut makeup, 1e-3, 11.0, 1);
        assert!(
            (makeup.makeup_db() - 11.0).abs() < 0.2,
            "{} dB",
            makeup.makeup_db()
        );
    }

    #[test]
    fn the_loudest_section_sets_it_smoothly_and_a_softer_one_keeps_it() {
        let mut makeup = started();
        add_voice(&mut makeup, 1e-4, 8.0, 20);
        let mut fastest_db = 0.0_f32;
        for _ in 0..750 * 20 {
            let before_db = makeup.makeup_db();
            makeup.add_voiced_hop(1e-2, 24.0);
            fastest_db = fastest_db.max(makeup.makeup_db() - before_db);
        }
        assert!(750.0 * fastest_db < 6.0, "{} dB a second", 750.0 * fastest_db);
        let loud_db = makeup.makeup_db();
        assert!((22.0..24.0).contains(&loud_db), "{loud_db} dB");
        add_voice(&mut makeup, 1e-4, 8.0, 20);
        assert!(
            (makeup.makeup_db() - loud_db).abs() < 2.5,
            "{} after {loud_db} dB",
            makeup.makeup_db()
        );
    }

    #[test]
    fn a_new_curve_changes_it_at_once() {
        let mut makeup = started();
        add_voice(&mut makeup, 10f64.powf(-2.3), 18.0, 5);
        makeup.set_curve(Curve {
            threshold_db: -50.0,
            ..CURVE
        });
        assert!(
            (makeup.makeup_db() - 27.0).abs() < 0.1,
            "{} dB",
            makeup.makeup_db()
        );
        add_voice(&mut makeup, 10f64.powf(-2.3), 27.0, 5);
        assert!(
            (makeup.makeup_db() - 27.0).abs() < 0.1,
            "{} dB",
            makeup.makeup_db()
        );
    }

    #[test]
    fn silence_changes_nothing() {
        let mut makeup = started();
        makeup.add_voiced_hop(0.0, 0.0);
        assert!(
            (makeup.makeup_db() - 18.0).abs() < 1e-3,
            "{} dB",
            makeup.makeup_db()
        );
    }
}
