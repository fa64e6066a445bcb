//! Programme-dependent release: fast after a peak, slow after a long loud passage.
//!
//! Two detectors run in parallel and the larger reduction counts: the smooth, branching one of Giannoulis, Massberg & Reiss
//! 2012 with the attack and release of the settings, and one that follows it slowly and releases more slowly (two parallel
//! release networks: common practice, no source). Between syllables the gain therefore recovers to its recent average and no
//! further, and does not pump. On a steady voice both reach the static curve.

use crate::clock::timing::Timing;
use crate::control::ballistics::{Ballistics, BallisticsDecay};
use crate::primitives::recent_maximum::RecentMaximum;
use crate::settings::LevellerSettings;

/// The largest request within this time is held: longer than the fading end of a word and a nasal or liquid in it, so that
/// the next sibilant gets the gain of the vowel, even if it is detected late or not at all (measured on the demo's and on
/// real voices).
const HOLD_MS: f32 = 180.0;
/// Attack of the slow detector: one or two syllables (measured on voices: the gain varies a third as much at 2 to 8 Hz as
/// with 1000 ms).
const SLOW_ATTACK_MS: f32 = 300.0;
/// Release of the slow detector relative to the setting: 0.6 s by default. A slower one varies less, but a soft section
/// after a loud one recovers too late.
const SLOW_RELEASE_FACTOR: f32 = 5.0;

/// The reduction and its two detectors.
pub(crate) struct ProgramRelease {
    requested: RecentMaximum,
    fast: Ballistics,
    slow: Ballistics,
}

/// Attack and release of both detectors.
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
                attack: timing.step_decay(SLOW_ATTACK_MS),
                release: timing.step_decay(SLOW_RELEASE_FACTOR * settings.release_ms),
            },
        }
    }
}

impl ProgramRelease {
    pub fn new(timing: Timing) -> Self {
        Self {
            requested: RecentMaximum::new(timing.steps(HOLD_MS)),
            fast: Ballistics::default(),
            slow: Ballistics::default(),
        }
    }

    pub fn reset(&mut self) {
        self.requested.reset();
        self.fast.reset();
        self.slow.reset();
    }

    /// One step of a voice with a requested reduction of `requested_db`.
    pub fn follow(&mut self, requested_db: f32, decays: &ReleaseDecays) {
        let reduction_db = self
            .fast
            .update_step(self.requested.push(requested_db), decays.fast);
        self.slow.update_step(reduction_db, decays.slow);
    }

    /// One step of a rest: recovers slowly, so that the gain hardly moves when a sibilant ends the rest.
    pub fn recover(&mut self, decays: &ReleaseDecays) {
        self.requested.reset();
        self.fast.update_step(0.0, decays.slow);
        self.slow.update_step(0.0, decays.slow);
    }

    /// The current reduction, 0 or positive.
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
        let mut follow = |requested_db: f32, time_ms: f32| {
            (0..timing.steps(time_ms)).for_each(|_| release.follow(requested_db, &decays));
            release.reduction_db()
        };
        let loud_db = follow(12.0, loud_ms);
        follow(0.0, HOLD_MS + 30.0 + settings.release_ms);
        (loud_db, follow(0.0, settings.release_ms))
    }

    #[test]
    fn release_is_fast_after_a_peak_and_slow_after_a_long_note() {
        let ((peak_db, after_peak_db), (note_db, after_note_db)) = (after(30.0), after(2000.0));
        assert!(peak_db > 11.9 && note_db > 11.9, "{peak_db} and {note_db} dB");
        // After the hold the 12 dB decay with five times the release after the note. After the peak they decay faster, down to
        // what the slow detector reached during the hold, less than half.
        assert!(after_peak_db < 6.0, "{after_peak_db} dB");
        assert!((7.0..9.5).contains(&after_note_db), "{after_note_db} dB");
    }
}
