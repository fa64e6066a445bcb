//! The voice follower: the level of the voice, held while anything else sounds.
//!
//! The level is the mean over the last `Follow` milliseconds of voiced material. The window is finite, so the start of
//! playback has no influence after that much voice. Hops far below the mean, or below the highest recent mean (word edges,
//! weak consonants, reverberation), do not count, like the relative gate of ITU-R BS.1770-5. A confirmed change of level
//! restarts the window with the newest material.

use crate::clock::timing::Timing;
use crate::primitives::decibels::{lufs_from_power, power_from_lufs};
use crate::primitives::recent_maximum::RecentMaximum;
use crate::report::Class;
use crate::voice::power_window::PowerWindow;
use crate::voice::softer_voice::SofterVoice;

/// The longest `Follow`.
const MAX_FOLLOW_MS: f32 = 3000.0;
/// Voiced material that confirms a louder voice: longer than a stressed syllable's peak.
const CONFIRM_LOUDER_MS: f32 = 100.0;
/// Voiced material that is needed before a voice counts as present: room noise or hum before the first word may have a few
/// periodic hops.
const PRESENT_MS: f32 = 40.0;
/// The longest rough stretch that still counts as voice: in hiss or a crowd the period is lost now and then.
const MAX_GAP_MS: f32 = 40.0;
/// The relative gate, as a power ratio (-14 dB): word edges do not count. ITU-R BS.1770-5 gates at -10 LU over 400 ms; over
/// readings of 10 ms that drops nasals, and labelled voices read 1 LU louder than in `ebur128`. Against the highest recent
/// mean, -12 dB reads synthetic voices 0.6 LU too loud; -14 dB keeps them within 0.5 LU.
const GATE: f64 = 0.04;
/// Power ratio (-6 dB) below which a hop counts within clear voice only: a hard leveller brings the noise of a room to within 8 to
/// 16 dB of the voice, and its hops are often periodic enough for a voice. Found on the tuning voices, with the three below.
const SOFT: f64 = 0.25;
/// From this periodicity on a hop is clear voice, however soft.
const CLEAR_PERIODICITY: f32 = 0.75;
/// Time constant of the share of clear hops, and the least of it: a rough hop within a word lies between clear ones. With a share
/// of 0.5 as many rests are read right, and rough voices 0.1 LU too loud.
const CLEAR_MS: f32 = 40.0;
const CLEAR_SHARE: f32 = 0.25;
/// Power ratio (-12 dB) below which a hop is evidence for a softer voice: with the gate's -14 dB the stressed syllables of a
/// section 18 dB softer speak against it, and some voices are followed too late.
const SOFTER: f64 = 0.063;
/// Voiced material whose highest mean the gate refers to: in reverberation the mean itself falls. With 400 ms and more the
/// start of playback affects more sibilants (up to 0.9 dB; 0.1 dB with 200 ms).
const HIGHEST_MS: f32 = 200.0;
/// Power ratio (10 dB) above which a louder voice is a new section and not a stressed word.
const JUMP_UP: f64 = 10.0;
/// Power ratio (3 dB) above the median: newest hops that begin above it are the tail of the louder section before.
const TAIL: f64 = 2.0;

/// What the follower takes of a hop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct FollowedHop {
    pub class: Class,
    /// Periodicity of the low band, 0 ... 1.
    pub periodicity: f32,
    /// K-weighted mean square.
    pub power: f64,
}

/// The voice level of one voice.
pub(crate) struct VoiceFollower {
    window: PowerWindow,
    newest: PowerWindow,
    softer: SofterVoice,
    /// The highest mean of the window of late.
    highest: RecentMaximum,
    highest_power: f64,
    /// Buffer for the median of the newest powers.
    sorted: Vec<f32>,
    confirm_louder_hops: usize,
    present_hops: usize,
    voiced_hops: usize,
    /// Of the latest voiced hops, those that are clear: loud or clearly periodic.
    clear_share: f32,
    clear_decay: f32,
    hops_since_voice: usize,
    /// Powers of the hops since the last voiced one that were neither silent nor sibilant.
    gap: PowerWindow,
    start_power: f64,
}

impl VoiceFollower {
    pub fn new(timing: Timing) -> Self {
        let confirm_louder_hops = timing.hops(CONFIRM_LOUDER_MS);
        let softer = SofterVoice::new(timing);
        Self {
            window: PowerWindow::new(timing.hops(MAX_FOLLOW_MS)),
            newest: PowerWindow::new(confirm_louder_hops),
            sorted: Vec::with_capacity(confirm_louder_hops.max(softer.most_hops())),
            softer,
            highest: RecentMaximum::new(timing.hops(HIGHEST_MS)),
            highest_power: 0.0,
            confirm_louder_hops,
            present_hops: timing.hops(PRESENT_MS),
            voiced_hops: 0,
            clear_share: 1.0,
            clear_decay: timing.hop_decay(CLEAR_MS),
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
        self.softer.reset();
        self.clear_highest();
        (self.voiced_hops, self.hops_since_voice, self.clear_share) = (0, 0, 1.0);
        self.start_power = power_from_lufs(start_lufs);
    }

    /// Takes a hop; the window is `length_hops` long.
    pub fn update_hop(&mut self, hop: FollowedHop, length_hops: usize) {
        self.softer.update_level(hop.power);
        if hop.class == Class::Voice {
            // If `gap` holds every hop since the last voiced one, the gap was short and neither silent nor sibilant: rough voice.
            if self.gap.len() == self.hops_since_voice {
                (0..self.hops_since_voice)
                    .for_each(|rough| self.add_voiced(self.gap.at(rough), 0.0, length_hops));
            }
            self.update_clear_share(&hop);
            self.add_voiced(hop.power, hop.periodicity, length_hops);
            self.gap.clear();
            self.hops_since_voice = 0;
            return;
        }
        self.hops_since_voice += 1;
        if hop.class == Class::Breath {
            self.gap.push(hop.power, usize::MAX);
        }
        self.softer.add_pause(self.hops_since_voice);
    }

    /// What soft hops are compared with.
    fn reference(&self) -> f64 {
        self.window.mean().max(self.highest_power)
    }

    fn update_clear_share(&mut self, hop: &FollowedHop) {
        let is_clear = hop.power >= SOFT * self.reference() || hop.periodicity >= CLEAR_PERIODICITY;
        let clear = f32::from(u8::from(is_clear));
        self.clear_share = clear + self.clear_decay * (self.clear_share - clear);
    }

    fn add_voiced(&mut self, power: f64, periodicity: f32, length_hops: usize) {
        self.voiced_hops = (self.voiced_hops + 1).min(self.present_hops);
        self.newest.push(power, self.confirm_louder_hops);
        let reference = self.reference();
        let is_soft = power < SOFTER * reference;
        if is_soft && self.softer.add_soft(power, periodicity) {
            refill(
                &mut self.window,
                self.softer.powers(),
                &mut self.sorted,
                length_hops,
            );
            self.softer.clear();
            self.clear_highest();
            return;
        }
        let counts_from = if self.clear_share < CLEAR_SHARE {
            SOFT
        } else {
            GATE
        };
        if power < counts_from * reference {
            self.push_highest(0.0);
            return;
        }
        if !is_soft {
            self.softer.add_loud();
        }
        self.window.push(power, length_hops);
        if self.newest.len() == self.confirm_louder_hops
            && self.newest.mean() > JUMP_UP * self.mean_before_newest()
        {
            refill(&mut self.window, &self.newest, &mut self.sorted, length_hops);
            self.softer.clear();
            self.clear_highest();
        }
        // The mean of less says little.
        let is_reliable = self.window.len() >= self.confirm_louder_hops;
        self.push_highest(if is_reliable { self.window.mean() } else { 0.0 });
    }

    fn push_highest(&mut self, power: f64) {
        self.highest_power = f64::from(self.highest.push(power as f32));
    }

    fn clear_highest(&mut self) {
        self.highest.reset();
        self.highest_power = 0.0;
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

/// Restarts a window with the newest material, without the tail of the section before. `sorted` is a buffer.
fn refill(window: &mut PowerWindow, newest: &PowerWindow, sorted: &mut Vec<f32>, length_hops: usize) {
    window.clear();
    let gate = GATE * newest.mean();
    let tail_above = TAIL * median(newest, sorted);
    let tail = newest.iter().take_while(|&power| power >= tail_above);
    for power in newest.iter().skip(tail.count()) {
        if power >= gate {
            window.push(power, length_hops);
        }
    }
}

/// The median of some powers.
fn median(powers: &PowerWindow, sorted: &mut Vec<f32>) -> f64 {
    sorted.clear();
    // A window holds them in single precision.
    sorted.extend(powers.iter().map(|power| power as f32));
    if sorted.is_empty() {
        return 0.0;
    }
    let middle = (sorted.len() - 1) / 2;
    let (_, median, _) = sorted.select_nth_unstable_by(middle, |one, other| other.total_cmp(one));
    f64::from(*median)
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

    fn hop(class: Class, lufs: f32) -> FollowedHop {
        FollowedHop {
            class,
            periodicity: 0.95,
            power: power_from_lufs(lufs),
        }
    }

    fn feed(follower: &mut VoiceFollower, lufs: f32, hops: usize) {
        (0..hops).for_each(|_| follower.update_hop(hop(Class::Voice, lufs), LENGTH_HOPS));
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
        feed(&mut follower, -23.0, 110);
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
    fn noise_of_a_room_does_not_lower_the_level() {
        let mut follower = follower();
        feed(&mut follower, -20.0, LENGTH_HOPS);
        let noise = FollowedHop {
            periodicity: 0.65,
            ..hop(Class::Voice, -30.0)
        };
        (0..400).for_each(|_| follower.update_hop(noise, LENGTH_HOPS));
        // Until the share of clear hops has fallen to a quarter, in 55 ms, a few count: 41 of 300 at a tenth of the power.
        assert!((follower.lufs() + 20.0).abs() < 0.6, "{}", follower.lufs());
    }

    #[test]
    fn a_short_rough_gap_counts_as_voice() {
        let after = |gap: &[Class]| {
            let mut follower = follower();
            feed(&mut follower, -20.0, LENGTH_HOPS);
            gap.iter()
                .for_each(|&class| follower.update_hop(hop(class, -30.0), LENGTH_HOPS));
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
            (0..100).for_each(|_| follower.update_hop(hop(Class::Quiet, -60.0), LENGTH_HOPS));
        }
        assert!((follower.lufs() + 20.0).abs() < 0.1, "{}", follower.lufs());
        feed(&mut follower, -50.0, 120);
        assert!((follower.lufs() + 50.0).abs() < 0.5, "{}", follower.lufs());
    }
}
