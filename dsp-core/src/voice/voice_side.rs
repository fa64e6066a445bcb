//! One side of a voice: every channel where they are linked, else one of two.

use fearless_simd::{Level, dispatch};

use crate::analysis::{Analysis, HopAnalysis, Spectrum};
use crate::clock::timeline::GridPosition;
use crate::clock::timing::Timing;
use crate::loudness::input_level::{InputLevel, READING_LAG_HOPS};
use crate::loudness::k_weighting::KWeighting;
use crate::report::Class;
use crate::voice::voice_follower::FollowedHop;

/// Analysis windows that lie within a reading of the level; the one in the middle is centred on it.
const WINDOWS_PER_READING: usize = 2 * READING_LAG_HOPS + 1;
/// The least share of a reading's power that lies where voices have theirs, for a hop that counts as voice: the noise of a
/// consonant that overlaps a vowel lies above, and so does a z.
const LEAST_VOICE_SHARE: f32 = 0.5;

/// The analysis and the level of one side.
pub(crate) struct VoiceSide {
    analysis: Analysis,
    level: InputLevel,
    /// The instructions that the processor has. They change the speed, and no bit of what is computed.
    instructions: Level,
    /// Of the windows within the last reading, oldest first.
    windows: [HopAnalysis; WINDOWS_PER_READING],
}

impl VoiceSide {
    pub fn new(channels: usize, timing: Timing, weighting: &KWeighting) -> Self {
        Self {
            analysis: Analysis::new(channels, timing, weighting),
            level: InputLevel::new(channels, timing, weighting),
            instructions: Level::new(),
            windows: [HopAnalysis::default(); WINDOWS_PER_READING],
        }
    }

    pub fn reset(&mut self) {
        self.analysis.reset();
        self.level.reset();
        self.windows = [HopAnalysis::default(); WINDOWS_PER_READING];
    }

    /// Continues as if the grid had run since the start of the song.
    pub fn align_grid(&mut self, position: GridPosition) {
        self.analysis.align_grid(position);
    }

    /// Adds samples, one slice per channel; they must not reach beyond the end of the current hop.
    pub fn push(&mut self, audio: &[&mut [f32]]) {
        self.analysis.push(audio);
    }

    /// Ends the step that reaches `into_hop_samples` into the current hop.
    pub fn end_step(&mut self, into_hop_samples: usize) {
        self.level.end_step(self.analysis.step(into_hop_samples));
    }

    /// Mean square over the last analysis window, averaged over channels.
    pub fn window_power(&self) -> f64 {
        self.level.window_power()
    }

    /// Ends a hop; returns the K-weighted mean square of the last reading, summed over channels.
    pub fn update_hop(&mut self) -> f64 {
        dispatch!(self.instructions, _instructions => self.analyse())
    }

    /// Compiled for each set of instructions, with everything in it that is always inlined.
    #[inline(always)]
    fn analyse(&mut self) -> f64 {
        let power = self.level.end_hop(self.analysis.window());
        let newest = self.analysis.update_hop();
        self.windows.rotate_left(1);
        self.windows[WINDOWS_PER_READING - 1] = newest;
        power
    }

    /// The class of the last window.
    pub fn class(&self) -> Class {
        self.windows[WINDOWS_PER_READING - 1].class
    }

    /// The periodicity of the last window, 0 ... 1.
    pub fn periodicity(&self) -> f32 {
        self.windows[WINDOWS_PER_READING - 1].periodicity
    }

    /// The spectrum of the last window.
    pub fn spectrum(&self) -> &Spectrum {
        self.analysis.spectrum()
    }

    /// What a follower takes of a reading of this power. The reading lags the newest analysis window, so class and periodicity
    /// are delayed to match.
    pub fn followed_hop(&self, power: f64) -> FollowedHop {
        let centre = self.windows[WINDOWS_PER_READING - 1 - READING_LAG_HOPS];
        let is_consonant = centre.class == Class::Voice && !self.is_mostly_voice();
        FollowedHop {
            class: if is_consonant {
                Class::Sibilant
            } else {
                centre.class
            },
            periodicity: centre.periodicity,
            power,
        }
    }

    /// True unless most of the reading's power lies above that of voices.
    fn is_mostly_voice(&self) -> bool {
        let (voice, all) = self.windows.iter().fold((0.0, 0.0), |(voice, all), window| {
            (voice + window.voice_power, all + window.power)
        });
        voice >= LEAST_VOICE_SHARE * all
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_signals::white_noise;

    #[test]
    fn every_set_of_instructions_gives_the_same_bits() {
        for (channels, rate_hz) in [(1, 48_000.0), (2, 44_100.0), (1, 192_000.0)] {
            let timing = Timing::new(rate_hz);
            let weighting = KWeighting::new(rate_hz);
            let [mut best, mut least] = [Level::new(), Level::baseline()].map(|instructions| VoiceSide {
                instructions,
                ..VoiceSide::new(channels, timing, &weighting)
            });
            let noise = white_noise(400 * timing.hop_samples, 3);
            for (number, hop) in noise.chunks(timing.hop_samples).enumerate() {
                // Pulses with more or less noise, louder on one side.
                let pulses = |n: usize| 0.5 * (-0.1 * ((number * timing.hop_samples + n) % 300) as f32).exp();
                let share = (number % 50) as f32 / 50.0;
                let channel = |gain: f32| -> Vec<f32> {
                    let mixed = hop.iter().enumerate();
                    mixed
                        .map(|(n, noise)| gain * (share * noise + pulses(n)))
                        .collect()
                };
                let [mut left, mut right] = [0.3, 0.1].map(channel);
                let audio = &[left.as_mut_slice(), right.as_mut_slice()][..channels];
                for side in [&mut best, &mut least] {
                    side.push(audio);
                }
                assert_eq!(best.update_hop().to_bits(), least.update_hop().to_bits());
                assert_eq!(best.windows, least.windows);
                assert_eq!(best.spectrum(), least.spectrum());
            }
        }
    }
}
