//! The level of the voice around a sound that is known whole: the mean of the voice before it and after it.
//!
//! Only voice close to the sound counts. Where both sides differ as two sections of a song do, the nearer one is the section
//! of the sound: the first s of a chorus after a rest already meets the chorus.

use std::ops::Range;

use wide::f32x8;

use crate::clock::timing::Timing;

/// How far back the voice before a sound counts: longer than the rests within a phrase.
const REACH_MS: f32 = 1000.0;
/// The relative gate, as a power ratio (-5 dB): nasals, word edges and reverberation do not count. The follower gates lower, since
/// it must not lose a voice that becomes softer. With -7 dB the real tuning voices are 1.5 points worse within 2 LU, with -12 dB 2.1.
const GATE: f32 = 0.3;
/// Power ratio (8 dB) between the two sides beyond which they belong to two sections.
const JUMP: f32 = 6.0;
/// Voice on one side that is enough to know its level: a shorter stretch is the edge of a word.
const ENOUGH_MS: f32 = 20.0;
/// The same for the softer side of a jump, which may be the end of a word.
const ENOUGH_SOFTER_MS: f32 = 100.0;

/// The powers of the voiced hops within reach, and where they lie.
pub(crate) struct TwoSidedLevel {
    /// Each power and its hop stand twice, `capacity` apart, so that the newest ones always lie in one piece.
    powers: Vec<f32>,
    hops: Vec<i64>,
    capacity: usize,
    next: usize,
    len: usize,
    reach_hops: i64,
    enough_hops: usize,
    enough_softer_hops: usize,
}

/// The voice of one side.
#[derive(Clone, Copy)]
struct Side<'a> {
    powers: &'a [f32],
    /// Hops between it and the sound.
    distance_hops: i64,
}

impl TwoSidedLevel {
    /// For hops that are known `ahead_hops` before they are heard.
    pub fn new(timing: Timing, ahead_hops: usize) -> Self {
        let reach_hops = timing.hops(REACH_MS);
        let capacity = reach_hops + ahead_hops;
        Self {
            powers: vec![0.0; 2 * capacity],
            hops: vec![0; 2 * capacity],
            capacity,
            next: 0,
            len: 0,
            reach_hops: reach_hops as i64,
            enough_hops: timing.hops(ENOUGH_MS),
            enough_softer_hops: timing.hops(ENOUGH_SOFTER_MS),
        }
    }

    pub fn reset(&mut self) {
        (self.next, self.len) = (0, 0);
    }

    /// Adds the power of a voiced hop; hops come in order.
    pub fn push(&mut self, hop: i64, power: f64) {
        for index in [self.next, self.next + self.capacity] {
            self.powers[index] = power as f32;
            self.hops[index] = hop;
        }
        self.next = (self.next + 1) % self.capacity;
        self.len = (self.len + 1).min(self.capacity);
    }

    /// The power of the voice around the hops of a sound, over at most `follow_hops` of voice on each side; `None` if there is too
    /// little voice near.
    pub fn around(&self, sound: &Range<i64>, follow_hops: usize) -> Option<f64> {
        let end = self.next + self.capacity;
        let start = end - self.len;
        let (hops, powers) = (&self.hops[start..end], &self.powers[start..end]);
        let split = hops.partition_point(|&hop| hop < sound.start);
        let after = hops.partition_point(|&hop| hop < sound.end).max(split);
        let reach = hops.partition_point(|&hop| hop < sound.start - self.reach_hops);
        let first = reach.max(split.saturating_sub(follow_hops));
        let last = powers.len().min(after + follow_hops);
        let before = Side {
            powers: &powers[first..split],
            distance_hops: hops[..split].last().map_or(i64::MAX, |hop| sound.start - hop),
        };
        let behind = Side {
            powers: &powers[after..last],
            distance_hops: hops.get(after).map_or(i64::MAX, |hop| hop - sound.end),
        };
        self.mean(before, behind)
    }

    fn mean(&self, before: Side, after: Side) -> Option<f64> {
        let mean = |side: Side| (side.powers.len() >= self.enough_hops).then(|| gated_mean(&[side.powers]));
        let (Some(one), Some(other)) = (mean(before), mean(after)) else {
            return mean(before).or(mean(after)).map(f64::from);
        };
        if one.max(other) <= JUMP * one.min(other) {
            return Some(f64::from(gated_mean(&[before.powers, after.powers])));
        }
        let is_before_nearer = before.distance_hops <= after.distance_hops;
        let (near, near_power, far_power) = if is_before_nearer {
            (before, one, other)
        } else {
            (after, other, one)
        };
        let is_section = near_power > far_power || near.powers.len() >= self.enough_softer_hops;
        let power = if is_section { near_power } else { far_power };
        Some(f64::from(power))
    }
}

/// The mean of the powers that reach the relative gate.
fn gated_mean(sides: &[&[f32]]) -> f32 {
    let mean_above = |gate: f32| {
        let (sum, count) = sides
            .iter()
            .map(|powers| sum_above(powers, gate))
            .fold((0.0, 0.0), |(sum, count), side| (sum + side.0, count + side.1));
        sum / count.max(1.0)
    };
    mean_above(GATE * mean_above(0.0))
}

/// Sum and number of the powers that reach a gate.
fn sum_above(powers: &[f32], gate: f32) -> (f32, f32) {
    const LANES: usize = 8;
    let (gates, one) = (f32x8::splat(gate), f32x8::splat(1.0));
    let (mut sums, mut counts) = (f32x8::ZERO, f32x8::ZERO);
    let mut add = |powers: [f32; LANES]| {
        let powers = f32x8::new(powers);
        let counted = powers.simd_ge(gates);
        sums += powers & counted;
        counts += one & counted;
    };
    let (groups, rest) = powers.as_chunks();
    groups.iter().for_each(|&group| add(group));
    // No power is negative, so this one never counts.
    let mut last = [-1.0; LANES];
    last[..rest.len()].copy_from_slice(rest);
    add(last);
    let sum = |lanes: f32x8| lanes.to_array().iter().sum();
    (sum(sums), sum(counts))
}

#[cfg(test)]
mod tests {
    use super::*;

    const FOLLOW_HOPS: usize = 300;

    fn level() -> TwoSidedLevel {
        TwoSidedLevel::new(Timing::new(48_000.0), 221)
    }

    fn voice(level: &mut TwoSidedLevel, hops: Range<i64>, power: f64) {
        hops.for_each(|hop| level.push(hop, power));
    }

    #[test]
    fn both_sides_count_alike() {
        let mut level = level();
        voice(&mut level, 0..100, 1.0);
        voice(&mut level, 150..250, 3.0);
        let power = level.around(&(100..150), FOLLOW_HOPS).unwrap();
        assert!((power - 2.0).abs() < 1e-5, "{power}");
    }

    #[test]
    fn after_a_rest_and_a_jump_the_nearer_side_counts() {
        for (before, after) in [(1.0, 63.0), (63.0, 1.0)] {
            let mut level = level();
            voice(&mut level, 0..300, before);
            voice(&mut level, 550..650, after);
            let first = level.around(&(460..550), FOLLOW_HOPS).unwrap();
            assert!((first / after - 1.0).abs() < 1e-5, "{first} for {after}");
            let last = level.around(&(302..400), FOLLOW_HOPS).unwrap();
            assert!((last / before - 1.0).abs() < 1e-5, "{last} for {before}");
        }
    }

    #[test]
    fn distant_voice_and_word_edges_do_not_count() {
        let mut level = level();
        voice(&mut level, 0..300, 1.0);
        assert_eq!(level.around(&(1100..1150), FOLLOW_HOPS), None);
        voice(&mut level, 1150..1155, 4.0);
        assert_eq!(
            level.around(&(1100..1150), FOLLOW_HOPS),
            None,
            "a few hops are no voice"
        );
        voice(&mut level, 1155..1250, 4.0);
        voice(&mut level, 1250..1280, 0.01);
        let power = level.around(&(1100..1150), FOLLOW_HOPS).unwrap();
        assert!((power - 4.0).abs() < 1e-4, "{power}");
    }

    #[test]
    fn voice_on_one_side_is_enough() {
        let mut level = level();
        voice(&mut level, 150..250, 3.0);
        let power = level.around(&(100..150), FOLLOW_HOPS).unwrap();
        assert!((power - 3.0).abs() < 1e-5, "{power}");
    }

    #[test]
    fn the_oldest_hops_make_room() {
        let mut level = level();
        voice(&mut level, 0..5000, 1.0);
        voice(&mut level, 5000..5100, 2.0);
        let power = level.around(&(5100..5150), 50).unwrap();
        assert!((power - 2.0).abs() < 1e-5, "{power}");
    }
}
