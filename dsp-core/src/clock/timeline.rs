//! The position on the song's timeline that the host reports.
//!
//! How much a single sibilant is reduced depends a little on where the hops lie. The grid of hops is aligned to the song, and
//! not to the start of playback, so that every playback and every pass of a loop gives the same result.

use crate::clock::timing::Timing;

/// A position on the grid that starts with the song.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct GridPosition {
    /// The hop of the next sample; negative before the start of the song.
    pub hop: i64,
    /// Samples of that hop before the next sample.
    pub into_hop_samples: usize,
}

impl GridPosition {
    /// The grid position of a sample of the song.
    pub fn of_sample(position_samples: i64, timing: Timing) -> Self {
        let hop_samples = timing.hop_samples as i64;
        Self {
            hop: position_samples.div_euclid(hop_samples),
            into_hop_samples: position_samples.rem_euclid(hop_samples) as usize,
        }
    }
}

/// The last reported position, and the position that is expected next.
pub(crate) struct Timeline {
    expected_samples: Option<i64>,
    reported_samples: Option<i64>,
    trusted: bool,
    tolerance_samples: u64,
}

impl Timeline {
    pub fn new(timing: Timing) -> Self {
        Self {
            expected_samples: None,
            reported_samples: None,
            trusted: true,
            // A host that counts in seconds or beats may be off by a sample or two; a real seek is longer than a step.
            tolerance_samples: timing.step_samples as u64,
        }
    }

    pub fn reset(&mut self) {
        (self.expected_samples, self.reported_samples, self.trusted) = (None, None, true);
    }

    /// Takes the reported position of the next sample; returns true if playback starts or jumps there.
    ///
    /// A position that is reported twice comes from a split block or a stopped transport, and is ignored. After two
    /// unexpected positions in a row the host's clock does not run with the samples (it may follow beats through a change of
    /// tempo); it is ignored until it does.
    pub fn jumps_to(&mut self, position_samples: i64) -> bool {
        if self.reported_samples.replace(position_samples) == Some(position_samples) {
            return false;
        }
        let expected = self.expected_samples.replace(position_samples);
        let continues =
            expected.is_some_and(|expected| expected.abs_diff(position_samples) <= self.tolerance_samples);
        let jumps = !continues && self.trusted;
        self.trusted = continues || expected.is_none();
        jumps
    }

    /// Moves on by the samples that were processed.
    pub fn advance(&mut self, samples: usize) {
        self.expected_samples = self
            .expected_samples
            .map(|expected| expected.saturating_add(i64::try_from(samples).unwrap_or(i64::MAX)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn jumps(reported: &[i64]) -> Vec<bool> {
        let mut timeline = Timeline::new(Timing::new(48_000.0));
        let report = |&position: &i64| {
            let jumps = timeline.jumps_to(position);
            timeline.advance(100);
            jumps
        };
        reported.iter().map(report).collect()
    }

    #[test]
    fn starts_and_jumps_are_detected() {
        assert_eq!(jumps(&[500, 600, 700, 0, 100]), [true, false, false, true, false]);
        assert_eq!(
            jumps(&[500, 601, 700, 799]),
            [true, false, false, false],
            "rounding"
        );
        assert_eq!(jumps(&[-50, 50, 150]), [true, false, false], "before the song");
    }

    #[test]
    fn a_repeated_position_is_not_a_jump() {
        assert_eq!(jumps(&[0, 0, 200, 300]), [true, false, false, false]);
    }

    #[test]
    fn a_drifting_clock_is_ignored_after_two_reports() {
        let drifting: Vec<i64> = (0..10).map(|block| 150 * block).collect();
        let detected = jumps(&drifting);
        assert_eq!(detected.iter().filter(|jumps| **jumps).count(), 2, "{detected:?}");
        assert_eq!(jumps(&[0, 150, 300, 400, 900])[2..], [false, false, true]);
    }

    #[test]
    fn extreme_positions_do_not_overflow() {
        assert_eq!(jumps(&[i64::MAX - 10, i64::MIN, i64::MAX]), [true, true, false]);
    }
}
