//! The voice follower: the level of the voice, held while anything else sounds.
//!
//! The level is the mean over the last `Follow` milliseconds of voiced material. The window is finite, so the start of
//! playback has no influence after that much voice. Hops far below the mean (word edges, weak consonants) do not count,
//! like the relative gate of ITU-R BS.1770-5. A lasting change of level restarts the window with the newest material.

use crate::clock::timing::Timing;
use crate::primitives::decibels::{lufs_from_power, power_from_lufs};
use crate::report::Class;
use crate::voice::power_window::PowerWindow;

/// The longest `Follow`.
const MAX_FOLLOW_MS: f32 = 3000.0;
/// Voiced material that confirms a new level: longer than the edge of a weak syllable, shorter than the first word of a new
/// section.
const CONFIRM_MS: f32 = 100.0;
/// Voiced material that is needed before a voice counts as present: room noise or hum before the first word may have a few
/// periodic hops.
const PRESENT_MS: f32 = 40.0;
/// The longest rough stretch that still counts as voice: in hiss or a crowd the period is lost now and then.
const MAX_GAP_MS: f32 = 40.0;
/// The relative gate, as a power ratio (-12 dB): word edges do not count. ITU-R BS.1770-5 gates at -10 LU over 400 ms; over
/// readings of 10 ms that drops nasals, and labelled voices read 1 LU louder than in `ebur128`. With -14 dB synthetic voices
/// read within 0.5 LU (0.55 LU with -12 dB), but a section 18 dB softer is found later, and the start of playback affects
/// more sibilants.
const GATE: f64 = 0.063;
/// Power ratio (10 dB) above which a louder voice is a new section and not a stressed word.
const JUMP_UP: f64 = 10.0;
/// Power ratio (3 dB) above the median: newest hops that begin above it are the tail of the louder section before.
const TAIL: f64 = 2.0;

/// The voice level of one voice.
pub(crate) struct VoiceFollower {
    window: PowerWindow,
    newest: PowerWindow,
    /// Buffer for the median of the newest powers.
    sorted: Vec<f64>,
    confirm_hops: usize,
    present_hops: usize,
    voiced_hops: usize,
    gated_hops: usize,
    hops_since_voice: usize,
    /// Powers of the hops since the last voiced one that were neither silent nor sibilant.
    gap: PowerWindow,
    start_power: f64,
}

impl VoiceFollower {
    pub fn new(timing: Timing) -> Self {
        let confirm_hops = timing.hops(CONFIRM_MS);
        Self {
            window: PowerWindow::new(timing.hops(MAX_FOLLOW_MS)),
            newest: PowerWindow::new(confirm_hops),
            sorted: Vec::with_capacity(confirm_hops),
            confirm_hops,
            present_hops: timing.hops(PRESENT_MS),
            voiced_hops: 0,
            gated_hops: 0,
            hops_since_voice: 0,
            gap: PowerWindow::new(timing.hops(MAX_GAP_MS)),
            start_power: 0.0,
        }
    }

    /// Clears the level; it is `start_lufs` until a voice is present.
    pub fn reset(&mut self, start_lufs: f32) {
        self.window.clear();
        self.newest.clear();
        self.gap.clear();
        (self.gated_hops, self.voiced_hops, self.hops_since_voice) = (0, 0, 0);
        self.start_power = power_from_lufs(start_lufs);
    }

    /// Takes the class and the K-weighted mean square of a hop; the window is `length_hops` long.
    pub fn update_hop(&mut self, class: Class, power: f64, length_hops: usize) {
        if class == Class::Voice {
            // If `gap` holds every hop since the last voiced one, the gap was short and neither silent nor sibilant: rough voice.
            if self.gap.len() == self.hops_since_voice {
                (0..self.hops_since_voice).for_each(|hop| self.add_voiced(self.gap.at(hop), length_hops));
            }
            self.add_voiced(power, length_hops);
            self.gap.clear();
            self.hops_since_voice = 0;
            return;
        }
        self.hops_since_voice += 1;
        if class == Class::Breath {
            self.gap.push(power, usize::MAX);
        }
        if self.hops_since_voice > self.confirm_hops {
            // A softer voice must not be confirmed by stray hops of a rest.
            self.gated_hops = 0;
        }
    }

    fn add_voiced(&mut self, power: f64, length_hops: usize) {
        self.voiced_hops = (self.voiced_hops + 1).min(self.present_hops);
        self.newest.push(power, self.confirm_hops);
        if power < GATE * self.window.mean() {
            self.gated_hops += 1;
            if self.gated_hops >= self.confirm_hops {
                self.restart(length_hops);
            }
            return;
        }
        // A loud syllable in a softer section must not undo the confirmation: the majority of hops decides.
        self.gated_hops = self.gated_hops.saturating_sub(1);
        self.window.push(power, length_hops);
        if self.newest.len() == self.confirm_hops && self.newest.mean() > JUMP_UP * self.mean_before_newest()
        {
            self.restart(length_hops);
        }
    }

    /// The mean of the window without the newest material; infinite if there is nothing else.
    fn mean_before_newest(&self) -> f64 {
        let before_hops = self.window.len().saturating_sub(self.newest.len());
        if before_hops == 0 {
            f64::INFINITY
        } else {
            (self.window.sum() - self.newest.sum()).max(0.0) / before_hops as f64
        }
    }

    /// Restarts the window with the newest material, without the tail of the section before.
    fn restart(&mut self, length_hops: usize) {
        self.gated_hops = 0;
        self.window.clear();
        let gate = GATE * self.newest.mean();
        let tail_above = TAIL * self.median_of_newest();
        let tail = self.newest.iter().take_while(|&power| power >= tail_above);
        for power in self.newest.iter().skip(tail.count()) {
            if power >= gate {
                self.window.push(power, length_hops);
            }
        }
    }

    /// The median of the newest powers.
    fn median_of_newest(&mut self) -> f64 {
        self.sorted.clear();
        self.sorted.extend(self.newest.iter());
        if self.sorted.is_empty() {
            return 0.0;
        }
        let middle = (self.sorted.len() - 1) / 2;
        let (_, median, _) = self
            .sorted
            .select_nth_unstable_by(middle, |one, other| other.total_cmp(one));
        *median
    }

    /// Hops since the last voiced hop, or since the reset.
    pub fn hops_since_voice(&self) -> usize {
        self.hops_since_voice
    }

    /// True once a voice was present since the last reset.
    pub fn has_voice(&self) -> bool {
        self.voiced_hops == self.present_hops
    }

    /// The voice level, LUFS; the start level before a voice is present.
    pub fn lufs(&self) -> f32 {
        lufs_from_power(if self.has_voice() {
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
        (0..hops).for_each(|_| follower.update_hop(Class::Voice, power_from_lufs(lufs), LENGTH_HOPS));
    }

    #[test]
    fn the_start_level_holds_until_the_first_voice() {
        let mut follower = follower();
        assert!((follower.lufs() + 24.0).abs() < 1e-3 && !follower.has_voice());
        feed(&mut follower, -70.0, 10);
        assert!(
            (follower.lufs() + 24.0).abs() < 1e-3 && !follower.has_voice(),
            "ten hops must not count as a voice"
        );
        feed(&mut follower, -40.0, 120);
        assert!((follower.lufs() + 40.0).abs() < 1e-3 && follower.has_voice());
    }

    #[test]
    fn it_settles_within_150_ms_after_a_change_of_18_db() {
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
    fn the_tail_of_a_knock_does_not_count_as_voice() {
        let mut follower = follower();
        feed(&mut follower, 25.0, 300);
        (0..10).for_each(|hop| feed(&mut follower, -2.0 * hop as f32, 1));
        feed(&mut follower, -23.0, 72);
        assert!((follower.lufs() + 23.0).abs() < 0.1, "{}", follower.lufs());
    }

    #[test]
    fn word_edges_do_not_lower_the_level() {
        let mut follower = follower();
        for _ in 0..20 {
            feed(&mut follower, -20.0, 60);
            feed(&mut follower, -34.0, 30);
        }
        assert!((follower.lufs() + 20.0).abs() < 0.1, "{}", follower.lufs());
    }

    #[test]
    fn a_short_rough_gap_counts_as_voice() {
        let after = |gap: &[Class]| {
            let mut follower = follower();
            feed(&mut follower, -20.0, LENGTH_HOPS);
            let softer = power_from_lufs(-30.0);
            gap.iter()
                .for_each(|&class| follower.update_hop(class, softer, LENGTH_HOPS));
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
    fn stray_hops_of_a_rest_do_not_confirm_a_softer_voice() {
        let mut follower = follower();
        feed(&mut follower, -20.0, LENGTH_HOPS);
        for _ in 0..40 {
            feed(&mut follower, -50.0, 8);
            (0..100).for_each(|_| follower.update_hop(Class::Quiet, power_from_lufs(-60.0), LENGTH_HOPS));
        }
        assert!((follower.lufs() + 20.0).abs() < 0.1, "{}", follower.lufs());
        feed(&mut follower, -50.0, 120);
        assert!((follower.lufs() + 50.0).abs() < 0.5, "{}", follower.lufs());
    }
}
