//! The tally: output levels of the last sibilants against their targets.

use siskin_dsp::{Settings, SibilanceSettings};

use super::history::Sibilant;
use crate::params::readout::level;

/// A sibilant within this distance of its target is on target, LU: common practice, no source.
const ON_TARGET_LU: f32 = 1.0;

/// Natural s and sh are 6 to 8 LU below the vowels (Jongman, Wayland & Wong 2000, from their levels by consonant); a mean 4 LU
/// below that sounds like a lisp: common practice, no source.
const LISP_LU: f32 = -12.0;
/// A mean reduction that is smaller has not made the lisp, dB: common practice, no source.
const LISP_REDUCTION_DB: f32 = 3.0;
/// Sibilants from which on the tally warns.
const MIN_WARNING: usize = 3;

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
    /// Mean reduction, dB.
    pub reduction_db: f32,
    /// How many were reduced by Range, within 0.5 dB.
    pub at_range: usize,
    /// What the target follows from.
    pub reason: String,
}

impl Tally {
    /// Tally of `sibilants`; `None` if there are none.
    pub fn new(sibilants: &[Sibilant], settings: &Settings) -> Option<Self> {
        let mean =
            |of: fn(&Sibilant) -> f32| sibilants.iter().map(of).sum::<f32>() / sibilants.len().max(1) as f32;
        let range_db = settings.sibilance.range_db;
        // Knee and shelf stay further from Range than this.
        let at_range = |sibilant: &&Sibilant| range_db > 0.5 && sibilant.gain_db <= 0.5 - range_db;
        (!sibilants.is_empty()).then(|| Self {
            outcomes: sibilants.iter().map(outcome).collect(),
            output_lu: mean(|sibilant| sibilant.output_lufs - sibilant.voice_lufs),
            target_lu: mean(|sibilant| sibilant.target_lufs - sibilant.voice_lufs),
            reduction_db: mean(|sibilant| sibilant.level_lufs - sibilant.output_lufs),
            at_range: sibilants.iter().filter(at_range).count(),
            reason: reason(settings),
        })
    }

    /// The tally as text, without what the target follows from.
    pub fn text(&self) -> String {
        let [output, target] = [self.output_lu, self.target_lu].map(|value| level(value, "LU"));
        format!("last {}: {output} out, target {target}", self.outcomes.len())
    }

    /// Whether Range limits so many sibilants that a word is due.
    pub fn is_range_limit_frequent(&self) -> bool {
        self.outcomes.len() >= MIN_WARNING && self.at_range * 3 >= self.outcomes.len()
    }

    /// Whether sibilants were turned down so far below the voice that it sounds like a lisp.
    pub fn is_lisp(&self) -> bool {
        let is_low = self.output_lu < LISP_LU && self.reduction_db >= LISP_REDUCTION_DB;
        self.outcomes.len() >= MIN_WARNING && is_low
    }
}

/// What the target follows from.
fn reason(settings: &Settings) -> String {
    let SibilanceSettings {
        on,
        proportion_lu,
        ratio,
        ..
    } = settings.sibilance;
    if settings.output.bypass {
        "(bypassed)".to_owned()
    } else if !on {
        "(Sibilance off)".to_owned()
    } else if ratio.is_infinite() {
        format!("(Proportion {proportion_lu:.1}, ratio infinite)")
    } else {
        // One decimal where there is one: 6 : 1, 2.5 : 1.
        let ratio = (ratio * 10.0).round() / 10.0;
        format!("(Proportion {proportion_lu:.1}, ratio {ratio} : 1)")
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
            level_lufs: output_lufs - gain_db,
            ..Sibilant::default()
        }
    }

    fn settings(range_db: f32) -> Settings {
        let mut settings = Settings::default();
        settings.sibilance.range_db = range_db;
        settings
    }

    #[test]
    fn text_gives_output_target_and_reason() {
        assert_eq!(Tally::new(&[], &settings(12.0)), None);
        let sibilants = [
            sibilant(-25.2, -4.0),
            sibilant(-23.0, -12.0),
            sibilant(-28.0, -2.0),
        ];
        let tally = Tally::new(&sibilants, &settings(12.0)).unwrap();
        assert_eq!(
            tally.outcomes,
            [Outcome::OnTarget, Outcome::Above, Outcome::Below]
        );
        assert_eq!(tally.text(), "last 3: -5.4 LU out, target -5.0 LU");
        assert_eq!(tally.reason, "(Proportion -6.0, ratio 6 : 1)");
        assert!(tally.is_range_limit_frequent());
        let mut other = settings(12.0);
        other.sibilance.ratio = f32::INFINITY;
        assert_eq!(reason(&other), "(Proportion -6.0, ratio infinite)");
        other.sibilance.ratio = 2.54;
        assert_eq!(reason(&other), "(Proportion -6.0, ratio 2.5 : 1)");
        other.sibilance.on = false;
        assert_eq!(reason(&other), "(Sibilance off)");
        other.output.bypass = true;
        assert_eq!(reason(&other), "(bypassed)");
    }

    #[test]
    fn range_limit_is_frequent_only_if_many_sibilants_reach_it() {
        let tally = Tally::new(&[sibilant(-25.0, -4.0); 6], &settings(12.0)).unwrap();
        assert!(!tally.is_range_limit_frequent());
        let tally = Tally::new(&[sibilant(-25.0, 0.0); 6], &settings(0.0)).unwrap();
        assert!(!tally.is_range_limit_frequent(), "a Range of 0 dB limits nothing");
    }

    #[test]
    fn a_lisp_is_far_below_a_natural_voice_and_made_here() {
        let is_lisp = |level_lufs: f32, output_lufs: f32, count: usize| {
            let sibilant = Sibilant {
                level_lufs,
                ..sibilant(output_lufs, output_lufs - level_lufs)
            };
            Tally::new(&vec![sibilant; count], &settings(24.0))
                .unwrap()
                .is_lisp()
        };
        assert!(is_lisp(-22.0, -33.0, 6), "13 LU below, 11 dB taken");
        assert!(!is_lisp(-22.0, -28.0, 6), "8 LU below is natural");
        assert!(!is_lisp(-32.5, -33.0, 6), "sung that softly");
        assert!(!is_lisp(-22.0, -33.0, 2), "too few to tell");
    }
}
