//! The voice follower: the level of the voice alone, held through all that is not voice.
//!
//! It is the mean over the last `Follow` milliseconds of *voiced* material: a window of finite length, so that where
//! playback began is forgotten exactly once that much voice was heard. Hops far below the mean (word edges, weak
//! consonants) do not count, as in the relative gate of ITU-R BS.1770-5; a lasting change of level restarts the
//! window from the newest material alone.

use crate::clock::timing::Timing;
use crate::primitives::decibels::{lufs_from_power, power_from_lufs};
use crate::report::Class;
use crate::voice::power_window::PowerWindow;

/// The longest `Follow` that can be set.
const LONGEST_MS: f32 = 3000.0;
/// Voiced material that proves a new level: longer than a weak syllable's edge, short against the first word of a new
/// section.
const PROOF_MS: f32 = 100.0;
/// Voiced material without which no voice counts as heard: a few periodic hops of room or hum before the first word
/// say nothing of a voice.
const HEARD_MS: f32 = 40.0;
/// A voice may be rough for this long and still be one voice: in hiss or a crowd its period is lost now and then.
const BRIDGED_MS: f32 = 40.0;
/// The relative gate, as a ratio of powers (-12 dB): edges of words do not count. ITU-R BS.1770-5 gates at -10 LU, over
/// 400 ms; over readings of 10 ms that drops nasals and reads labelled voices 1 LU louder than `ebur128` does. At -14 dB
/// synthetic voices read within 0.5 LU and not 0.55 LU off, but a section 18 dB softer is known later, and where playback began matters
/// to more sibilants.
const GATE: f64 = 0.063;
/// A louder voice by this ratio of powers (10 dB) is a new section and not a stressed word.
const JUMP_UP: f64 = 10.0;
/// What fades into a softer section lies above most of it by this ratio of powers (3 dB) at first.
const LEFT_OVER: f64 = 2.0;

/// The follower's memory.
pub(crate) struct VoiceFollower {
    window: PowerWindow,
    newest: PowerWindow,
    /// The newest once more, to be ranked.
    ranked: Vec<f64>,
    proof_hops: usize,
    heard_hops: usize,
    voiced_hops: usize,
    gated_hops: usize,
    /// Hops since the last voiced one, and the powers of those among them that were neither silent nor sibilant.
    away_hops: usize,
    gap: PowerWindow,
    start_power: f64,
}

impl VoiceFollower {
    pub fn new(timing: Timing) -> Self {
        let proof_hops = timing.hops(PROOF_MS);
        Self {
            window: PowerWindow::new(timing.hops(LONGEST_MS)),
            newest: PowerWindow::new(proof_hops),
            ranked: Vec::with_capacity(proof_hops),
            proof_hops,
            heard_hops: timing.hops(HEARD_MS),
            voiced_hops: 0,
            gated_hops: 0,
            away_hops: 0,
            gap: PowerWindow::new(timing.hops(BRIDGED_MS)),
            start_power: 0.0,
        }
    }

    /// Forgets every voice; the level is `start_lufs` until one is heard.
    pub fn reset(&mut self, start_lufs: f32) {
        self.window.clear();
        self.newest.clear();
        self.gap.clear();
        (self.gated_hops, self.voiced_hops, self.away_hops) = (0, 0, 0);
        self.start_power = power_from_lufs(start_lufs);
    }

    /// Takes the class of a hop and its K-weighted mean square; the window is `length_hops` long.
    pub fn hear(&mut self, class: Class, power: f64, length_hops: usize) {
        if class == Class::Voice {
            // Nothing but rough voice lay in a gap that is whole: it was neither too long nor silent nor sibilant.
            if self.gap.len() == self.away_hops {
                (0..self.away_hops).for_each(|hop| self.take(self.gap.at(hop), length_hops));
            }
            self.take(power, length_hops);
            self.gap.clear();
            self.away_hops = 0;
            return;
        }
        self.away_hops += 1;
        if class == Class::Breath {
            self.gap.push(power, usize::MAX);
        }
        if self.away_hops > self.proof_hops {
            // What proves a softer voice must not be gathered hop by hop from a rest.
            self.gated_hops = 0;
        }
    }

    fn take(&mut self, power: f64, length_hops: usize) {
        self.voiced_hops = (self.voiced_hops + 1).min(self.heard_hops);
        self.newest.push(power, self.proof_hops);
        if power < GATE * self.window.mean() {
            self.gated_hops += 1;
            if self.gated_hops >= self.proof_hops {
                self.restart(length_hops);
            }
            return;
        }
        // A loud syllable in a softer section must not undo the proof: most hops decide.
        self.gated_hops = self.gated_hops.saturating_sub(1);
        self.window.push(power, length_hops);
        if self.newest.len() == self.proof_hops && self.newest.mean() > JUMP_UP * self.mean_before_newest() {
            self.restart(length_hops);
        }
    }

    /// The mean of the window without its newest material; infinite where there is nothing else.
    fn mean_before_newest(&self) -> f64 {
        let before_hops = self.window.len().saturating_sub(self.newest.len());
        if before_hops == 0 {
            f64::INFINITY
        } else {
            (self.window.sum() - self.newest.sum()).max(0.0) / before_hops as f64
        }
    }

    fn restart(&mut self, length_hops: usize) {
        self.gated_hops = 0;
        self.window.clear();
        let gate = GATE * self.newest.mean();
        let left_over_from = LEFT_OVER * self.usual_of_newest();
        let left_over = self.newest.iter().take_while(|&power| power >= left_over_from);
        for power in self.newest.iter().skip(left_over.count()) {
            if power >= gate {
                self.window.push(power, length_hops);
            }
        }
    }

    /// The power that half of the newest lie at or over. Where these begin with hops well over it, that is the tail of what
    /// was before.
    fn usual_of_newest(&mut self) -> f64 {
        self.ranked.clear();
        self.ranked.extend(self.newest.iter());
        if self.ranked.is_empty() {
            return 0.0;
        }
        let middle = (self.ranked.len() - 1) / 2;
        let (_, usual, _) = self
            .ranked
            .select_nth_unstable_by(middle, |one, other| other.total_cmp(one));
        *usual
    }

    /// Hops since the last voiced one, or since the reset.
    pub fn hops_since_voice(&self) -> usize {
        self.away_hops
    }

    /// True once enough of a voice was heard since the last reset.
    pub fn heard(&self) -> bool {
        self.voiced_hops == self.heard_hops
    }

    /// The voice level, LUFS.
    pub fn lufs(&self) -> f32 {
        lufs_from_power(if self.heard() {
            self.window.mean()
        } else {
            self.start_power
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LENGTH_HOPS: usize = 300;

    fn follower() -> VoiceFollower {
        let mut follower = VoiceFollower::new(Timing::new(48_000.0));
        follower.reset(-24.0);
        follower
    }

    fn feed(follower: &mut VoiceFollower, lufs: f32, hops: usize) {
        (0..hops).for_each(|_| follower.hear(Class::Voice, power_from_lufs(lufs), LENGTH_HOPS));
    }

    #[test]
    fn it_starts_where_it_is_told_and_forgets_that_with_the_first_voice() {
        let mut follower = follower();
        assert!((follower.lufs() + 24.0).abs() < 1e-3 && !follower.heard());
        feed(&mut follower, -70.0, 10);
        assert!(
            (follower.lufs() + 24.0).abs() < 1e-3 && !follower.heard(),
            "ten hops are no voice"
        );
        feed(&mut follower, -40.0, 120);
        assert!((follower.lufs() + 40.0).abs() < 1e-3 && follower.heard());
    }

    #[test]
    fn a_section_18_db_away_is_settled_within_150_ms_of_voice() {
        for (before, after) in [(-38.0, -20.0), (-20.0, -38.0)] {
            let mut follower = follower();
            feed(&mut follower, before, 1000);
            feed(&mut follower, after, 112);
            assert!(
                (follower.lufs() - after).abs() < 0.5,
                "{} for {after}",
                follower.lufs()
            );
        }
    }

    #[test]
    fn the_tail_of_a_blow_is_no_part_of_the_voice_after_it() {
        let mut follower = follower();
        feed(&mut follower, 25.0, 300);
        (0..10).for_each(|hop| feed(&mut follower, -2.0 * hop as f32, 1));
        feed(&mut follower, -23.0, 72);
        assert!((follower.lufs() + 23.0).abs() < 0.1, "{}", follower.lufs());
    }

    #[test]
    fn word_edges_do_not_pull_it_down() {
        let mut follower = follower();
        for _ in 0..20 {
            feed(&mut follower, -20.0, 60);
            feed(&mut follower, -34.0, 30);
        }
        assert!((follower.lufs() + 20.0).abs() < 0.1, "{}", follower.lufs());
    }

    #[test]
    fn a_rough_gap_is_voice_too_and_a_long_or_a_sibilant_one_is_not() {
        let after = |gap: &[Class]| {
            let mut follower = follower();
            feed(&mut follower, -20.0, LENGTH_HOPS);
            let softer = power_from_lufs(-30.0);
            gap.iter()
                .for_each(|&class| follower.hear(class, softer, LENGTH_HOPS));
            feed(&mut follower, -20.0, 1);
            follower.lufs()
        };
        assert!(
            after(&[Class::Breath; 28]) < -20.3,
            "{}",
            after(&[Class::Breath; 28])
        );
        let mut broken = [Class::Breath; 28];
        broken[9] = Class::Sibilant;
        for gap in [
            &broken[..],
            &[Class::Breath; 60],
            &[Class::Sibilant; 28],
            &[Class::Quiet; 28],
        ] {
            assert!((after(gap) + 20.0).abs() < 1e-3, "{} after {gap:?}", after(gap));
        }
    }

    #[test]
    fn stray_hops_of_a_rest_prove_no_softer_voice() {
        let mut follower = follower();
        feed(&mut follower, -20.0, LENGTH_HOPS);
        for _ in 0..40 {
            feed(&mut follower, -50.0, 8);
            (0..100).for_each(|_| follower.hear(Class::Quiet, power_from_lufs(-60.0), LENGTH_HOPS));
        }
        assert!((follower.lufs() + 20.0).abs() < 0.1, "{}", follower.lufs());
        feed(&mut follower, -50.0, 120);
        assert!((follower.lufs() + 50.0).abs() < 0.5, "{}", follower.lufs());
    }
}
