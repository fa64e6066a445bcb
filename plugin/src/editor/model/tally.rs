//! The tally: output levels of the last sibilants against their targets.

use super::history::Sibilant;

/// A sibilant within this distance of its target is on target, LU: common practice, no source.
const ON_TARGET_LU: f32 = 1.0;

/// Output level of one sibilant against its target.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Within 1 LU.
    OnTarget,
    /// More than 1 LU above.
    Above,
    /// More than 1 LU below.
    Below,
}

/// The last sibilants.
#[derive(Debug, Clone, PartialEq)]
pub struct Tally {
    /// Outcome of each, oldest first.
    pub outcomes: Vec<Outcome>,
    /// Mean proportion at the output, LU.
    pub output_lu: f32,
    /// Mean target proportion, LU.
    pub target_lu: f32,
    /// How many were reduced by Range, within 0.5 dB.
    pub at_range: usize,
}

impl Tally {
    /// Tally of `sibilants`; `None` if there are none.
    pub fn new(sibilants: &[Sibilant], range_db: f32) -> Option<Self> {
        let mean =
            |of: fn(&Sibilant) -> f32| sibilants.iter().map(of).sum::<f32>() / sibilants.len().max(1) as f32;
        // Knee and shelf stay further from Range than this.
        let at_range = |sibilant: &&Sibilant| range_db > 0.5 && sibilant.gain_db <= 0.5 - range_db;
        (!sibilants.is_empty()).then(|| Self {
            outcomes: sibilants.iter().map(outcome).collect(),
            output_lu: mean(|sibilant| sibilant.output_lufs - sibilant.voice_lufs),
            target_lu: mean(|sibilant| sibilant.target_lufs - sibilant.voice_lufs),
            at_range: sibilants.iter().filter(at_range).count(),
        })
    }

    /// The tally as text; `short` leaves out what the marks show.
    pub fn text(&self, short: bool) -> String {
        let lu = |value| crate::params::readout::level(value, "LU");
        let (output, target) = (lu(self.output_lu), lu(self.target_lu));
        let text = format!("last {}: {output} out, target {target}", self.outcomes.len());
        if short {
            return text;
        }
        let on_target = self
            .outcomes
            .iter()
            .filter(|outcome| **outcome == Outcome::OnTarget)
            .count();
        format!("{text}; {on_target} within 1 LU")
    }

    /// Whether Range limits so many sibilants that a warning is due.
    pub fn is_range_limit_frequent(&self) -> bool {
        self.outcomes.len() >= 3 && self.at_range * 3 >= self.outcomes.len()
    }
}

fn outcome(sibilant: &Sibilant) -> Outcome {
    match sibilant.output_lufs - sibilant.target_lufs {
        off if off > ON_TARGET_LU => Outcome::Above,
        off if off < -ON_TARGET_LU => Outcome::Below,
        _ => Outcome::OnTarget,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sibilant(output_lufs: f32, gain_db: f32) -> Sibilant {
        Sibilant {
            voice_lufs: -20.0,
            target_lufs: -25.0,
            output_lufs,
            gain_db,
            ..Sibilant::default()
        }
    }

    #[test]
    fn text_gives_output_and_target() {
        assert_eq!(Tally::new(&[], 12.0), None);
        let tally = Tally::new(
            &[
                sibilant(-25.2, -4.0),
                sibilant(-23.0, -12.0),
                sibilant(-28.0, -2.0),
            ],
            12.0,
        )
        .unwrap();
        assert_eq!(
            tally.outcomes,
            [Outcome::OnTarget, Outcome::Above, Outcome::Below]
        );
        let text = "last 3: -5.4 LU out, target -5.0 LU";
        assert_eq!(tally.text(true), text);
        assert_eq!(tally.text(false), format!("{text}; 1 within 1 LU"));
        assert!(tally.is_range_limit_frequent());
    }

    #[test]
    fn range_limit_is_frequent_only_if_many_sibilants_reach_it() {
        let tally = Tally::new(&[sibilant(-25.0, -4.0); 6], 12.0).unwrap();
        assert!(!tally.is_range_limit_frequent());
        let tally = Tally::new(&[sibilant(-25.0, 0.0); 6], 0.0).unwrap();
        assert!(!tally.is_range_limit_frequent(), "a Range of 0 dB limits nothing");
    }
}
