//! The running tally: how the last sibilants left, against what was asked of them.

use super::history::Sibilant;

/// As close to what was asked as this is well, LU: half of what a listener finds fault with, common practice, no source.
const WELL_LU: f32 = 1.0;

/// How one sibilant left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// Within 1 LU of what was asked.
    AsAsked,
    /// Further above.
    Above,
    /// Further below.
    Below,
}

/// The last sibilants.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// Oldest first.
    pub dots: Vec<Left>,
    /// Mean proportion as they left, LU.
    pub left_lu: f32,
    /// Mean proportion that was asked, LU.
    pub asked_lu: f32,
    /// How many of them were reduced by all of Range, or nearly.
    pub at_range: usize,
}

impl Tally {
    /// Of the last sibilants; `None` before the first.
    pub fn of(sibilants: &[Sibilant], range_db: f32) -> Option<Self> {
        let mean =
            |of: fn(&Sibilant) -> f32| sibilants.iter().map(of).sum::<f32>() / sibilants.len().max(1) as f32;
        // Nearer to Range than the knee and the shelf leave.
        let at_range = |sibilant: &&Sibilant| range_db > 0.5 && sibilant.gain_db <= 0.5 - range_db;
        (!sibilants.is_empty()).then(|| Self {
            dots: sibilants.iter().map(left).collect(),
            left_lu: mean(|sibilant| sibilant.left_lufs - sibilant.voice_lufs),
            asked_lu: mean(|sibilant| sibilant.asked_lufs - sibilant.voice_lufs),
            at_range: sibilants.iter().filter(at_range).count(),
        })
    }

    /// In words; in short where there is little room, since the marks say the rest.
    pub fn words(&self, short: bool) -> String {
        let lu = |value| crate::readout::level(value, "LU");
        let (left, asked) = (lu(self.left_lu), lu(self.asked_lu));
        let words = format!("last {} leave at {left}, asked {asked}", self.dots.len());
        if short {
            return words;
        }
        let well = self.dots.iter().filter(|dot| **dot == Left::AsAsked).count();
        format!("{words}; {well} within 1 LU")
    }

    /// Whether Range ends so many reductions that it is worth a word.
    pub fn often_at_range(&self) -> bool {
        self.dots.len() >= 3 && self.at_range * 3 >= self.dots.len()
    }
}

fn left(sibilant: &Sibilant) -> Left {
    match sibilant.left_lufs - sibilant.asked_lufs {
        off if off > WELL_LU => Left::Above,
        off if off < -WELL_LU => Left::Below,
        _ => Left::AsAsked,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sibilant(left_lufs: f32, gain_db: f32) -> Sibilant {
        Sibilant {
            voice_lufs: -20.0,
            asked_lufs: -25.0,
            left_lufs,
            gain_db,
            ..Sibilant::default()
        }
    }

    #[test]
    fn says_how_they_left_and_what_was_asked() {
        assert_eq!(Tally::of(&[], 12.0), None);
        let tally = Tally::of(
            &[
                sibilant(-25.2, -4.0),
                sibilant(-23.0, -12.0),
                sibilant(-28.0, -2.0),
            ],
            12.0,
        )
        .unwrap();
        assert_eq!(tally.dots, [Left::AsAsked, Left::Above, Left::Below]);
        let words = "last 3 leave at -5.4 LU, asked -5.0 LU";
        assert_eq!(tally.words(true), words);
        assert_eq!(tally.words(false), format!("{words}; 1 within 1 LU"));
        assert!(tally.often_at_range());
    }

    #[test]
    fn range_is_worth_a_word_only_where_it_ends_many() {
        let tally = Tally::of(&[sibilant(-25.0, -4.0); 6], 12.0).unwrap();
        assert!(!tally.often_at_range());
        let tally = Tally::of(&[sibilant(-25.0, 0.0); 6], 0.0).unwrap();
        assert!(!tally.often_at_range(), "a Range of nothing ends nothing");
    }
}
