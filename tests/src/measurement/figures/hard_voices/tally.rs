//! What came of one voice under one condition, or of many.

use std::ops::Range;

use crate::measurement::figures::detector::{FalseEventFigures, Share};
use crate::measurement::figures::properties::KnownLabels;
use crate::measurement::levels::share_within;

/// Single readings, in order.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tally {
    /// Errors of sibilants against the rule, LU.
    pub errors_lu: Vec<f32>,
    /// The same of a stage that knows the labels and looks 400 ms back.
    pub back_errors_lu: Vec<f32>,
    /// The same of one that looks 300 ms ahead too.
    pub both_sides_errors_lu: Vec<f32>,
    /// Errors of first sibilants after a rest, LU.
    pub first_errors_lu: Vec<f32>,
    /// Farthest reading of each pause from the end of the word before, LU.
    pub pauses_lu: Vec<f32>,
    /// How far the voice level at each sibilant moves where the sibilants alone change, LU.
    pub moved_lu: Vec<f32>,
    /// Hops of vowels that change by more than [`Tally::CHANGED_DB`].
    pub changed_vowels: Share,
    /// Vowels, nasals, liquids that were reduced as sibilants.
    pub false_events: FalseEventFigures,
}

impl Tally {
    /// A change of a vowel that counts, dB.
    pub const CHANGED_DB: f32 = 0.5;

    /// Adds what stages with known labels make of the same sibilants.
    pub fn hold_against_known_labels(
        &mut self,
        audio: &[f32],
        sibilants: &[Range<usize>],
        vowels: &[Range<usize>],
    ) {
        let errors_lu = |known: KnownLabels| known.errors_lu(audio, sibilants, vowels);
        self.back_errors_lu.extend(errors_lu(KnownLabels::BACK));
        self.both_sides_errors_lu
            .extend(errors_lu(KnownLabels::BOTH_SIDES));
    }

    /// Percent of some errors within a bound; none where there are no errors.
    pub fn percent_within(errors_lu: &[f32], bound_lu: f32) -> Option<f32> {
        (!errors_lu.is_empty()).then(|| 100.0 * share_within(errors_lu, bound_lu))
    }

    /// The largest size of some readings; none where there are none.
    pub fn farthest_lu(readings_lu: &[f32]) -> Option<f32> {
        readings_lu.iter().map(|reading| reading.abs()).reduce(f32::max)
    }
}

summed!(Tally { changed_vowels, false_events } joined {
    errors_lu,
    back_errors_lu,
    both_sides_errors_lu,
    first_errors_lu,
    pauses_lu,
    moved_lu
});

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_add_up_and_are_summed_up() {
        let one = Tally {
            errors_lu: vec![0.5, -3.0],
            pauses_lu: vec![-7.0, 2.0],
            changed_vowels: Share { part: 1, whole: 4 },
            ..Tally::default()
        };
        let sum: Tally = [one.clone(), one].into_iter().sum();
        assert_eq!(Tally::percent_within(&sum.errors_lu, 2.0), Some(50.0));
        assert_eq!(Tally::farthest_lu(&sum.pauses_lu), Some(7.0));
        assert_eq!(sum.changed_vowels.percent(), Some(25.0));
        assert_eq!(Tally::percent_within(&[], 2.0), None);
    }
}
