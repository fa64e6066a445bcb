//! A proposal for `Proportion` from a passage of singing, computed from reports. Not for the audio thread: it allocates.
//!
//! The proposal is the threshold at which the median sibilant leaves at its natural place under the voice. A ratio of 6 : 1
//! lets a sixth of the excess over the threshold through, so a voice whose sibilants are 5 LU too loud needs a threshold 1 LU
//! lower than one whose sibilants are natural. Two things follow. Louder sibilants never give a higher Proportion. And the
//! passage matters little: sections of one song, whose medians differ by several LU, differ by a fifth of that.
//!
//! Few sibilants say little of a voice, so their excess counts in part.

mod detect_from;

pub use detect_from::{DetectFromListener, DetectFromProposal};

use crate::report::{Class, HopReport};

/// Upper end of natural sibilants: s and sh are 6 to 8 LU below the vowels (Jongman, Wayland & Wong 2000, from their levels by
/// consonant). Also the default of `Proportion`.
const NATURAL_LU: f32 = -6.0;
/// A passage whose median is no more than this above is natural, too, LU: quiet verses of the singer as sung (seeds for tuning).
const NATURAL_SPREAD_LU: f32 = 1.5;
/// With so many sibilants the excess counts by half. Fitted on voices for tuning: `tests/tests/proposals.rs` tries the others.
const HALF_COUNTED: f32 = 5.0;
/// A lower ratio holds sibilants so loosely that no threshold makes them natural.
const LEAST_RATIO: f32 = 4.0;
/// The lowest proposal: for sibilants at 6 : 1 that are 15 LU too loud.
const LEAST_LU: f32 = -9.0;
/// Step of a proposal, LU.
const STEP_LU: f32 = 0.5;
/// Singing that is needed, seconds.
const SINGING_S: f32 = 8.0;
/// Sibilants that are needed.
const MIN_SIBILANTS: usize = 6;
/// Shorter sibilants are not counted: the burst of a t is too short for a proportion, seconds.
pub const COUNTED_SIBILANT_S: f32 = 0.02;
/// A proposal that is more uncertain wants more singing, LU: its step.
const SURE_LU: f32 = STEP_LU;
/// Standard error of a median, as a factor on that of the mean, for normal values (from memory).
const MEDIAN_ERROR: f32 = 1.253;
/// Interquartile range of a normal distribution, standard deviations (from memory).
const QUARTILE_RANGE: f32 = 1.349;

/// Collects the proportions of sibilants.
#[derive(Debug, Clone, Default)]
pub struct ProportionListener {
    singing_s: f32,
    proportions_lu: Vec<f32>,
    current: Current,
}

/// Sums over the sibilant that sounds.
#[derive(Debug, Clone, Copy, Default)]
struct Current {
    power: f64,
    voice_lufs: f64,
    hops: f64,
    duration_s: f32,
}

/// A proposal and what it was computed from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProportionProposal {
    /// Proposed Proportion, LU.
    pub proportion_lu: f32,
    /// How far a proposal from other passages like this may be from it, LU: two standard errors.
    pub uncertainty_lu: f32,
    /// Median proportion of the sibilants at the input, LU.
    pub median_lu: f32,
    /// Number of sibilants.
    pub sibilants: usize,
}

impl ProportionListener {
    /// Adds the report of a hop of `hop_s` seconds.
    pub fn add(&mut self, report: &HopReport, hop_s: f32) {
        if matches!(report.class, Class::Voice | Class::Sibilant) {
            self.singing_s += hop_s;
        }
        // Before the first voice the voice level is only assumed.
        if report.class == Class::Sibilant && report.voice_detected {
            self.current.add(report, hop_s);
        } else {
            let ended = std::mem::take(&mut self.current);
            self.proportions_lu.extend(ended.proportion_lu());
        }
    }

    /// Singing so far, seconds.
    #[must_use]
    pub fn singing_s(&self) -> f32 {
        self.singing_s
    }

    /// Singing still to come before a proposal, seconds.
    #[must_use]
    pub fn missing_s(&self) -> f32 {
        (SINGING_S - self.singing_s).max(0.0)
    }

    /// Sibilants so far.
    #[must_use]
    pub fn sibilants(&self) -> usize {
        self.proportions_lu.len()
    }

    /// Sibilants still to come before a proposal.
    #[must_use]
    pub fn missing_sibilants(&self) -> usize {
        MIN_SIBILANTS.saturating_sub(self.sibilants())
    }

    /// The proposal for a sibilance stage with this ratio, 1 or more or infinite, from what was heard so far; `None` before it
    /// suffices.
    #[must_use]
    pub fn proposal(&self, ratio: f32) -> Option<ProportionProposal> {
        let suffices = self.missing_s() == 0.0 && self.missing_sibilants() == 0;
        suffices.then(|| propose(&self.proportions_lu, ratio))
    }
}

impl Current {
    fn add(&mut self, report: &HopReport, hop_s: f32) {
        self.power += 10f64.powf(f64::from(report.sibilance_lufs) / 10.0);
        self.voice_lufs += f64::from(report.voice_lufs);
        self.hops += 1.0;
        self.duration_s += hop_s;
    }

    fn proportion_lu(&self) -> Option<f32> {
        let level_lufs = 10.0 * (self.power / self.hops).log10();
        (self.duration_s >= COUNTED_SIBILANT_S).then(|| (level_lufs - self.voice_lufs / self.hops) as f32)
    }
}

impl ProportionProposal {
    /// Whether the sibilants are natural already: nothing needs to be set.
    #[must_use]
    pub fn is_natural(&self) -> bool {
        self.median_lu <= NATURAL_LU + NATURAL_SPREAD_LU
    }

    /// Whether more singing would hardly change it.
    #[must_use]
    pub fn is_sure(&self) -> bool {
        self.uncertainty_lu <= SURE_LU
    }
}

/// The proposal from proportions, at least one.
fn propose(proportions_lu: &[f32], ratio: f32) -> ProportionProposal {
    let mut sorted = proportions_lu.to_vec();
    sorted.sort_by(f32::total_cmp);
    // The smallest value with more than this share below or at it: the same when a passage is repeated.
    let quantile = |share: f32| {
        let last = sorted.len().saturating_sub(1);
        sorted
            .get(((share * sorted.len() as f32) as usize).min(last))
            .copied()
            .unwrap_or(NATURAL_LU)
    };
    let median_lu = quantile(0.5);
    let excess_lu = (median_lu - NATURAL_LU - NATURAL_SPREAD_LU).max(0.0);
    let count = sorted.len() as f32;
    let slope = count / (count + HALF_COUNTED) / (ratio.max(LEAST_RATIO) - 1.0);
    let exact_lu = (NATURAL_LU - excess_lu * slope).max(LEAST_LU);
    let deviation_lu = (quantile(0.75) - quantile(0.25)) / QUARTILE_RANGE;
    let error_lu = MEDIAN_ERROR * deviation_lu / count.sqrt();
    ProportionProposal {
        proportion_lu: (exact_lu / STEP_LU).round() * STEP_LU,
        uncertainty_lu: 2.0 * error_lu * slope,
        median_lu,
        sibilants: sorted.len(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const RATIO: f32 = 6.0;

    #[test]
    fn natural_sibilants_give_the_default_and_loud_ones_a_lower_threshold() {
        let of = |lu: f32| propose(&[lu; 9], RATIO).proportion_lu;
        assert_eq!([-15.0, -7.0, -4.6].map(of), [NATURAL_LU; 3]);
        assert!(propose(&[-4.6; 9], RATIO).is_natural() && !propose(&[-2.0; 9], RATIO).is_natural());
        assert_eq!([0.5, 5.5, 40.0].map(of), [-6.5, -7.5, LEAST_LU]);
        assert_eq!(
            propose(&[0.5; 90], RATIO).proportion_lu,
            -7.0,
            "many sibilants count in full"
        );
        let infinite = propose(&[3.0; 9], f32::INFINITY);
        assert_eq!(
            (infinite.proportion_lu, infinite.uncertainty_lu),
            (NATURAL_LU, 0.0)
        );
    }

    #[test]
    fn nothing_is_proposed_before_enough_singing_and_sibilants() {
        let mut listener = ProportionListener::default();
        let hop_s = 0.01;
        let mut play = |class, hops: usize, voice_detected| {
            for _ in 0..hops {
                let report = HopReport {
                    class,
                    voice_detected,
                    voice_lufs: -20.0,
                    sibilance_lufs: -21.0,
                    ..HopReport::default()
                };
                listener.add(&report, hop_s);
            }
            (listener.sibilants(), listener.proposal(RATIO))
        };
        play(Class::Sibilant, 10, false);
        play(Class::Quiet, 2000, false);
        for count in 0..5 {
            assert_eq!(play(Class::Voice, 155, true), (count, None));
            play(Class::Sibilant, 10, true);
            // A burst of 10 ms is not counted.
            play(Class::Voice, 1, true);
            play(Class::Sibilant, 1, true);
        }
        assert_eq!(
            play(Class::Voice, 10, true),
            (5, None),
            "8 s, but too few sibilants"
        );
        play(Class::Sibilant, 10, true);
        let (sibilants, proposal) = play(Class::Voice, 1, true);
        let proposal = proposal.unwrap();
        assert_eq!((sibilants, proposal.sibilants), (6, 6));
        assert!((proposal.median_lu + 1.0).abs() < 1e-3 && proposal.is_sure());
    }

    proptest! {
        #[test]
        fn louder_sibilants_never_give_a_higher_proportion(
            levels in prop::collection::vec((-30f32..20.0, 0f32..10.0), 1..40), ratio in 1f32..30.0,
        ) {
            let softer: Vec<f32> = levels.iter().map(|(lu, _)| *lu).collect();
            let louder: Vec<f32> = levels.iter().map(|(lu, more)| lu + more).collect();
            for ratio in [ratio, f32::INFINITY] {
                let [softer, louder] = [&softer, &louder].map(|levels| propose(levels, ratio));
                prop_assert!(louder.proportion_lu <= softer.proportion_lu);
                prop_assert!((LEAST_LU..=NATURAL_LU).contains(&louder.proportion_lu));
            }
        }

        #[test]
        fn more_of_the_same_singing_is_surer(levels in prop::collection::vec(-10f32..5.0, 6..20)) {
            let often: Vec<f32> = levels.iter().flat_map(|&level| [level; 25]).collect();
            let [once, often] = [&levels, &often].map(|levels| propose(levels, RATIO));
            prop_assert!(often.uncertainty_lu <= 0.5 * once.uncertainty_lu + 1e-3);
        }
    }
}
