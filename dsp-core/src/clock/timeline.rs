//! Where on the song's timeline the sound lies, as far as a host tells.
//!
//! The grid of hops decides to the decibel what single sibilants lose. Laid on the song rather than on where playback began,
//! it falls alike in every playback and in every pass of a loop.

use crate::clock::timing::Timing;

/// A place on the grid that began with the song.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Place {
    /// The hop that the next sample belongs to; negative before the song begins.
    pub hop: i64,
    /// Samples of that hop which lie before the next.
    pub into_hop_samples: usize,
}

impl Place {
    /// Of a sample of the song.
    pub fn of(position_samples: i64, timing: Timing) -> Self {
        let hop_samples = timing.hop_samples as i64;
        Self {
            hop: position_samples.div_euclid(hop_samples),
            into_hop_samples: position_samples.rem_euclid(hop_samples) as usize,
        }
    }
}

/// What the host said last, and what it should say next.
pub(crate) struct Timeline {
    next_samples: Option<i64>,
    said_samples: Option<i64>,
    trusted: bool,
    tolerance_samples: u64,
}

impl Timeline {
    pub fn new(timing: Timing) -> Self {
        Self {
            next_samples: None,
            said_samples: None,
            trusted: true,
            // A host that counts in seconds or beats may be off by a sample or two; nobody seeks by less than a step.
            tolerance_samples: timing.step_samples as u64,
        }
    }

    pub fn reset(&mut self) {
        (self.next_samples, self.said_samples, self.trusted) = (None, None, true);
    }

    /// Takes what the host says of the next sample; true where playback starts or jumps there.
    ///
    /// A position that is said twice is that of a block which was split, or stands still. Where two positions in a row are
    /// not where they should be, the host's clock runs unlike the sound (it may follow beats through a change of tempo): it
    /// is not heeded until it runs alike again.
    pub fn jumps_to(&mut self, position_samples: i64) -> bool {
        if self.said_samples.replace(position_samples) == Some(position_samples) {
            return false;
        }
        let next = self.next_samples.replace(position_samples);
        let runs_on = next.is_some_and(|next| next.abs_diff(position_samples) <= self.tolerance_samples);
        let jumps = !runs_on && self.trusted;
        self.trusted = runs_on || next.is_none();
        jumps
    }

    /// So many samples were played.
    pub fn pass(&mut self, samples: usize) {
        self.next_samples = self
            .next_samples
            .map(|next| next.saturating_add(i64::try_from(samples).unwrap_or(i64::MAX)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn jumps(said: &[i64]) -> Vec<bool> {
        let mut timeline = Timeline::new(Timing::new(48_000.0));
        let hear = |&position: &i64| {
            let jumps = timeline.jumps_to(position);
            timeline.pass(100);
            jumps
        };
        said.iter().map(hear).collect()
    }

    #[test]
    fn a_start_and_a_jump_are_told_and_playing_on_is_not() {
        assert_eq!(jumps(&[500, 600, 700, 0, 100]), [true, false, false, true, false]);
        assert_eq!(
            jumps(&[500, 601, 700, 799]),
            [true, false, false, false],
            "rounding"
        );
        assert_eq!(jumps(&[-50, 50, 150]), [true, false, false], "before the song");
    }

    #[test]
    fn a_split_block_says_its_position_twice_and_goes_on() {
        assert_eq!(jumps(&[0, 0, 200, 300]), [true, false, false, false]);
    }

    #[test]
    fn a_clock_that_runs_unlike_the_sound_is_heeded_once() {
        let drifting: Vec<i64> = (0..10).map(|block| 150 * block).collect();
        let told = jumps(&drifting);
        assert_eq!(told.iter().filter(|jumps| **jumps).count(), 2, "{told:?}");
        assert_eq!(jumps(&[0, 150, 300, 400, 900])[2..], [false, false, true]);
    }

    #[test]
    fn the_far_end_of_all_numbers_is_no_danger() {
        assert_eq!(jumps(&[i64::MAX - 10, i64::MIN, i64::MAX]), [true, true, false]);
    }
}
