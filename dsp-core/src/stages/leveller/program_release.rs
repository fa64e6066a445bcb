//! A release that depends on the programme: fast after a peak, slow after a voice that was loud for long.
//!
//! Two detectors side by side, the greater reduction of which counts: the smooth, branching one of Giannoulis, Massberg
//! & Reiss 2012 with the times that a person sets, and one that is charged slowly by it and lets go more slowly (two
//! networks of release in parallel: common practice, no source). Between the syllables of running speech the gain
//! therefore falls back to its average of late and no further, and does not pump. On a steady voice both read what the
//! static curve asks.

use crate::clock::timing::Timing;
use crate::control::ballistics::{Ballistics, BallisticsDecay};
use crate::settings::LevellerSettings;

use super::recent_maximum::RecentMaximum;

/// The gain is let up to what the voice asked for at most in this time: longer than the fading edge of a word and the
/// nasal or liquid in it, so that the sibilant that follows finds the gain of the vowel, even where it is heard late or
/// not at all (measured on the demo's and on real voices).
const HOLD_MS: f32 = 180.0;
/// Time constant with which a lasting reduction charges the slow detector: one or two syllables (measured on voices: the
/// gain wanders a third as much at 2 to 8 Hz as with 1000 ms).
const CHARGE_MS: f32 = 300.0;
/// How much slower than the release the slow detector lets go: 0.6 s at the default release. Slower would wander less,
/// but a soft section after a loud one would come up too late.
const SLOWER: f32 = 5.0;

/// The reduction's memory.
pub(crate) struct ProgramRelease {
    asked: RecentMaximum,
    fast: Ballistics,
    slow: Ballistics,
}

/// The times of both detectors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct ReleaseDecays {
    fast: BallisticsDecay,
    slow: BallisticsDecay,
}

impl ReleaseDecays {
    pub fn new(settings: &LevellerSettings, timing: Timing) -> Self {
        Self {
            fast: BallisticsDecay {
                attack: timing.step_decay(settings.attack_ms),
                release: timing.step_decay(settings.release_ms),
            },
            slow: BallisticsDecay {
                attack: timing.step_decay(CHARGE_MS),
                release: timing.step_decay(SLOWER * settings.release_ms),
            },
        }
    }
}

impl ProgramRelease {
    pub fn new(timing: Timing) -> Self {
        Self {
            asked: RecentMaximum::new(timing.steps(HOLD_MS)),
            fast: Ballistics::default(),
            slow: Ballistics::default(),
        }
    }

    pub fn reset(&mut self) {
        self.asked.reset();
        self.fast.reset();
        self.slow.reset();
    }

    /// One step of a voice that asks for a reduction of `asked_db`.
    pub fn follow(&mut self, asked_db: f32, decays: &ReleaseDecays) {
        let reduction_db = self.fast.process(self.asked.push(asked_db), decays.fast);
        self.slow.process(reduction_db, decays.slow);
    }

    /// One step of a rest: all comes back, slowly, so that a sibilant that ends it finds a gain that hardly moves.
    pub fn rest(&mut self, decays: &ReleaseDecays) {
        self.asked.reset();
        self.fast.process(0.0, decays.slow);
        self.slow.process(0.0, decays.slow);
    }

    /// Where it stands, positive decibels.
    pub fn reduction_db(&self) -> f32 {
        self.fast.reduction_db().max(self.slow.reduction_db())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(loud_ms: f32) -> (f32, f32) {
        let (timing, settings) = (Timing::new(48_000.0), LevellerSettings::default());
        let mut release = ProgramRelease::new(timing);
        let decays = ReleaseDecays::new(&settings, timing);
        let mut follow = |asked_db: f32, time_ms: f32| {
            (0..timing.steps(time_ms)).for_each(|_| release.follow(asked_db, &decays));
            release.reduction_db()
        };
        let loud_db = follow(12.0, loud_ms);
        follow(0.0, HOLD_MS + 30.0 + settings.release_ms);
        (loud_db, follow(0.0, settings.release_ms))
    }

    #[test]
    fn it_lets_go_of_a_peak_fast_and_of_a_long_note_slowly() {
        let ((peak_db, after_peak_db), (note_db, after_note_db)) = (after(30.0), after(2000.0));
        assert!(peak_db > 11.9 && note_db > 11.9, "{peak_db} and {note_db} dB");
        // Both wait for the hold. Then 12 dB fall with five times the release time after the note; after the peak faster,
        // down to what the hold has charged of the slow detector, less than half.
        assert!(after_peak_db < 6.0, "{after_peak_db} dB");
        assert!((7.0..9.5).contains(&after_note_db), "{after_note_db} dB");
    }
}
