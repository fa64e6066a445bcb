//! Automatic makeup: the gain that gives the levelled voice the level that it had before.
//!
//! It compares the voice level (K-weighted, over voiced hops as the voice follower takes them) before and after the
//! reduction, since the reset and with a memory longer than a section: the loudest section that was heard sets it, and
//! it stays there when a softer one follows, for it must not undo what the leveller is there for. Where the curve
//! changes it moves along at once, by what the curve says at the level of the voice. Before a voice is heard it
//! stands where one at the start level would put it.

use crate::clock::timing::Timing;
use crate::primitives::decibels::{db_from_power, power_from_db};

use super::curve::{Curve, level_db};

/// Time constant of the memory: the voice of some sections of a song.
const MEMORY_S: f32 = 60.0;
/// The gain follows with a time constant of this share of what was heard of the voice, within these bounds: soon
/// after a start, then about as slowly as a hand on a fader (measured on the demo's song and on real voices).
const SHARE_OF_HEARD: f32 = 0.25;
const QUICKEST_S: f32 = 0.1;
const SLOWEST_S: f32 = 3.0;
/// As much as the manual makeup can give.
const MOST_DB: f32 = 30.0;

/// The memory of the voice.
pub(crate) struct AutoMakeup {
    hop_s: f32,
    keep: f64,
    curve: Curve,
    start_db: f32,
    heard_s: f32,
    /// Sums over the memory: of hops, of powers before the reduction and after it.
    hops: f64,
    before: f64,
    after: f64,
    makeup_db: f32,
}

impl AutoMakeup {
    pub fn new(timing: Timing) -> Self {
        Self {
            hop_s: (timing.hop_samples as f64 / timing.sample_rate_hz) as f32,
            keep: f64::from(timing.hop_decay(1e3 * MEMORY_S)),
            curve: Curve::default(),
            start_db: 0.0,
            heard_s: 0.0,
            hops: 0.0,
            before: 0.0,
            after: 0.0,
            makeup_db: 0.0,
        }
    }

    /// Forgets the voice; until one is heard, one of `start_db` dB RMS is expected.
    pub fn reset(&mut self, start_db: f32, curve: Curve) {
        (self.start_db, self.curve) = (start_db, curve);
        self.heard_s = 0.0;
        (self.hops, self.before, self.after) = (0.0, 0.0, 0.0);
        self.makeup_db = curve.reduction_db(start_db).min(MOST_DB);
    }

    /// Takes a curve that may have changed: what was heard counts as if it had been levelled by this one.
    pub fn set(&mut self, curve: Curve) {
        if curve == self.curve {
            return;
        }
        let voice_db = self.voice_db();
        let more_db = curve.reduction_db(voice_db) - self.curve.reduction_db(voice_db);
        self.curve = curve;
        self.after *= power_from_db(-more_db);
        self.makeup_db = (self.makeup_db + more_db).clamp(0.0, MOST_DB);
    }

    /// One voiced hop of K-weighted mean square `power` that is reduced by `reduction_db`.
    pub fn hear(&mut self, power: f64, reduction_db: f32) {
        if power <= 0.0 {
            return;
        }
        self.hops = self.keep * self.hops + 1.0;
        self.before = self.keep * self.before + power;
        self.after = self.keep * self.after + power * power_from_db(-reduction_db);
        let lost_db = db_from_power(self.before / self.after).clamp(0.0, MOST_DB);
        self.heard_s = (self.heard_s + self.hop_s).min(SLOWEST_S / SHARE_OF_HEARD);
        let time_s = (SHARE_OF_HEARD * self.heard_s).max(QUICKEST_S);
        self.makeup_db += self.hop_s / time_s * (lost_db - self.makeup_db);
    }

    /// The level of the voice over the memory, dB RMS.
    fn voice_db(&self) -> f32 {
        if self.hops > 0.0 {
            level_db(self.before / self.hops)
        } else {
            self.start_db
        }
    }

    /// The gain, 0 ... 30 dB.
    pub fn db(&self) -> f32 {
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

    fn heard(makeup: &mut AutoMakeup, power: f64, reduction_db: f32, seconds: usize) {
        (0..750 * seconds).for_each(|_| makeup.hear(power, reduction_db));
    }

    fn started() -> AutoMakeup {
        let mut makeup = AutoMakeup::new(Timing::new(48_000.0));
        makeup.reset(-20.0, CURVE);
        makeup
    }

    #[test]
    fn it_starts_at_the_start_level_and_gives_back_what_the_voice_lost() {
        let mut makeup = started();
        assert!((makeup.db() - 18.0).abs() < 1e-3, "{} dB", makeup.db());
        heard(&mut makeup, 1e-3, 11.0, 1);
        assert!((makeup.db() - 11.0).abs() < 0.2, "{} dB", makeup.db());
    }

    #[test]
    fn the_loudest_section_sets_it_without_a_jump_and_a_softer_one_leaves_it() {
        let mut makeup = started();
        heard(&mut makeup, 1e-4, 8.0, 20);
        let mut fastest_db = 0.0_f32;
        for _ in 0..750 * 20 {
            let before_db = makeup.db();
            makeup.hear(1e-2, 24.0);
            fastest_db = fastest_db.max(makeup.db() - before_db);
        }
        assert!(750.0 * fastest_db < 6.0, "{} dB a second", 750.0 * fastest_db);
        let loud_db = makeup.db();
        assert!((22.0..24.0).contains(&loud_db), "{loud_db} dB");
        heard(&mut makeup, 1e-4, 8.0, 20);
        assert!(
            (makeup.db() - loud_db).abs() < 2.5,
            "{} after {loud_db} dB",
            makeup.db()
        );
    }

    #[test]
    fn another_curve_moves_it_at_once() {
        let mut makeup = started();
        heard(&mut makeup, 10f64.powf(-2.3), 18.0, 5);
        makeup.set(Curve {
            threshold_db: -50.0,
            ..CURVE
        });
        assert!((makeup.db() - 27.0).abs() < 0.1, "{} dB", makeup.db());
        heard(&mut makeup, 10f64.powf(-2.3), 27.0, 5);
        assert!((makeup.db() - 27.0).abs() < 0.1, "{} dB", makeup.db());
    }

    #[test]
    fn silence_changes_nothing() {
        let mut makeup = started();
        makeup.hear(0.0, 0.0);
        assert!((makeup.db() - 18.0).abs() < 1e-3, "{} dB", makeup.db());
    }
}
