//! A voice with its analysis, its level and its follower, which its sides share.

use crate::analysis::Spectrum;
use crate::clock::timeline::GridPosition;
use crate::clock::timing::Timing;
use crate::loudness::k_weighting::KWeighting;
use crate::report::Class;
use crate::settings::Channels;
use crate::voice::voice_follower::{FollowedHop, VoiceFollower};
use crate::voice::voice_side::VoiceSide;

/// Power ratio (-10 dB) to the louder side below which a side counts as the other one's bleed and not as a voice.
const BLEED: f64 = 0.1;

/// One tracked voice: the own voice or the reference.
pub(crate) struct TrackedVoice {
    sides: Vec<VoiceSide>,
    channels_per_side: usize,
    follower: VoiceFollower,
    /// The power that the follower took from the last hop; 0 if that was no voice.
    voiced_power: f64,
}

/// The analysis of one hop of a voice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct HopReading {
    /// Voice where either side has it, else what both have most of.
    pub class: Class,
    /// K-weighted mean square of the last reading, summed over channels.
    pub power: f64,
}

impl TrackedVoice {
    /// Of one or two channels, heard as one or each for itself.
    pub fn new(channels: usize, link: Channels, timing: Timing, start_lufs: f32) -> Self {
        let weighting = KWeighting::new(timing.sample_rate_hz);
        let sides = link.sides(channels);
        let channels_per_side = channels / sides;
        let side = |_| VoiceSide::new(channels_per_side, timing, &weighting);
        let mut voice = Self {
            sides: (0..sides).map(side).collect(),
            channels_per_side,
            follower: VoiceFollower::new(timing),
            voiced_power: 0.0,
        };
        voice.reset(start_lufs);
        voice
    }

    pub fn reset(&mut self, start_lufs: f32) {
        self.sides.iter_mut().for_each(VoiceSide::reset);
        self.follower.reset(start_lufs);
        self.voiced_power = 0.0;
    }

    /// Continues as if the grid had run since the start of the song.
    pub fn align_grid(&mut self, position: GridPosition) {
        for side in &mut self.sides {
            side.align_grid(position);
        }
    }

    /// Adds samples, one slice per channel; they must not reach beyond the end of the current hop.
    pub fn push(&mut self, audio: &[&mut [f32]]) {
        for (side, channels) in self.sides.iter_mut().zip(audio.chunks(self.channels_per_side)) {
            side.push(channels);
        }
    }

    /// Ends the step that reaches `into_hop_samples` into the current hop.
    pub fn end_step(&mut self, into_hop_samples: usize) {
        self.sides
            .iter_mut()
            .for_each(|side| side.end_step(into_hop_samples));
    }

    /// Mean square over the last analysis window, averaged over channels.
    pub fn window_power(&self) -> f64 {
        let sum: f64 = self.sides.iter().map(VoiceSide::window_power).sum();
        sum / self.sides.len() as f64
    }

    /// Ends a hop. `power_gain` leads from this voice to the point where its level is measured.
    pub fn update_hop(&mut self, power_gain: f64, follow_hops: usize) -> HopReading {
        let (class, power, followed) = match &mut self.sides[..] {
            [left, right] => {
                let powers = [left.update_hop(), right.update_hop()];
                let followed = joined([
                    left.followed_hop(powers[0] * power_gain),
                    right.followed_hop(powers[1] * power_gain),
                ]);
                let class = joined_class(left.class(), right.class());
                (class, powers[0] + powers[1], followed)
            }
            [all, ..] => {
                let power = all.update_hop();
                (all.class(), power, all.followed_hop(power * power_gain))
            }
            [] => {
                return HopReading {
                    class: Class::Quiet,
                    power: 0.0,
                };
            }
        };
        self.follower.update_hop(followed, follow_hops);
        self.voiced_power = if self.follower.hops_since_voice() == 0 {
            followed.power
        } else {
            0.0
        };
        HopReading { class, power }
    }

    /// The power of the voice, as the follower takes it, [`READING_LAG_HOPS`] before the last hop; 0 if that was no voice.
    ///
    /// [`READING_LAG_HOPS`]: crate::loudness::input_level::READING_LAG_HOPS
    pub fn voiced_power(&self) -> f64 {
        self.voiced_power
    }

    /// Power gain from one side to a voice that has it on every side: levels of a side and of the voice compare so.
    pub fn side_power_gain(&self) -> f64 {
        self.sides.len() as f64
    }

    /// The class of the last window of a side.
    pub fn class(&self, side: usize) -> Class {
        self.sides[side].class()
    }

    /// The periodicity of the last window of a side, 0 ... 1.
    pub fn periodicity(&self, side: usize) -> f32 {
        self.sides[side].periodicity()
    }

    /// The spectrum of the last window of a side.
    pub fn spectrum(&self, side: usize) -> &Spectrum {
        self.sides[side].spectrum()
    }

    pub fn follower(&self) -> &VoiceFollower {
        &self.follower
    }

    /// True if a voice was present within the last `timeout_hops`.
    pub fn is_present(&self, timeout_hops: usize) -> bool {
        self.follower.has_voice() && self.follower.hops_since_voice() < timeout_hops
    }
}

/// The first of these that either side has.
fn joined_class(left: Class, right: Class) -> Class {
    [Class::Voice, Class::Sibilant, Class::Breath]
        .into_iter()
        .find(|&class| left == class || right == class)
        .unwrap_or(Class::Quiet)
}

/// What a follower takes of two sides: the mean of the sides that have a voice, as if both had it. So two voices, one on each
/// side, have the level of one that is on both, whether they sound together or in turn.
fn joined(sides: [FollowedHop; 2]) -> FollowedHop {
    let [left, right] = sides;
    let class = joined_class(left.class, right.class);
    let louder = sides
        .iter()
        .filter(|side| side.class == class)
        .fold(0.0, |louder, side| side.power.max(louder));
    let counting = sides
        .iter()
        .filter(|side| side.class == class && side.power >= BLEED * louder);
    let (count, power, periodicity) = counting.fold((0, 0.0, 0f32), |(count, power, periodicity), side| {
        (count + 1, power + side.power, periodicity.max(side.periodicity))
    });
    FollowedHop {
        class,
        periodicity,
        power: power * 2.0 / f64::from(count.max(1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hop(class: Class, power: f64) -> FollowedHop {
        FollowedHop {
            class,
            periodicity: 0.5,
            power,
        }
    }

    #[test]
    fn a_voice_on_one_side_reads_as_one_on_both() {
        let [voice, sibilant] = [Class::Voice, Class::Sibilant];
        for (sides, class, power) in [
            ([hop(voice, 1.0), hop(voice, 1.0)], voice, 2.0),
            ([hop(voice, 1.0), hop(voice, 0.5)], voice, 1.5),
            ([hop(voice, 1.0), hop(sibilant, 0.5)], voice, 2.0),
            ([hop(Class::Quiet, 0.0), hop(voice, 1.0)], voice, 2.0),
            // Bleed, 13 dB below the other side.
            ([hop(voice, 1.0), hop(voice, 0.05)], voice, 2.0),
            ([hop(sibilant, 1.0), hop(Class::Breath, 0.5)], sibilant, 2.0),
            (
                [hop(Class::Quiet, 0.0), hop(Class::Quiet, 0.0)],
                Class::Quiet,
                0.0,
            ),
        ] {
            assert_eq!(
                joined(sides),
                FollowedHop {
                    periodicity: 0.5,
                    ..hop(class, power)
                }
            );
        }
    }
}
