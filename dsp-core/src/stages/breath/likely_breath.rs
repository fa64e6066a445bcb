//! A run of hops that are likelier a breath than not: it is one once the evidence is strong enough.

use crate::clock::timing::Timing;
use crate::report::Class;

// Both were searched on the tuning half of the labelled breaths and voices.

/// Evidence for a breath: the logarithm of the odds, summed over time, ms.
const EVIDENCE_MS: f32 = 250.0;
/// Longest gap within a breath.
const GAP_MS: f32 = 20.0;

/// The current run.
pub(super) struct LikelyBreath {
    hop_ms: f32,
    longest_gap_hops: usize,
    hops: usize,
    gap_hops: usize,
    evidence_ms: f32,
}

impl LikelyBreath {
    pub fn new(timing: Timing) -> Self {
        Self {
            hop_ms: (1e3 * timing.hop_samples as f64 / timing.sample_rate_hz) as f32,
            longest_gap_hops: timing.hops(GAP_MS),
            hops: 0,
            gap_hops: 0,
            evidence_ms: 0.0,
        }
    }

    pub fn reset(&mut self) {
        (self.hops, self.gap_hops, self.evidence_ms) = (0, 0, 0.0);
    }

    /// Takes the logarithm of the odds that the next hop belongs to a breath, if it may; returns how many hops the breath has so far
    /// if it does.
    pub fn update_hop(&mut self, log_odds: Option<f32>, class: Class) -> Option<usize> {
        let Some(log_odds) = log_odds.filter(|log_odds| *log_odds > 0.0) else {
            self.gap_hops += 1;
            if self.gap_hops > self.longest_gap_hops {
                self.reset();
            }
            return None;
        };
        // A gap before the first hop is none.
        let gap_hops = std::mem::take(&mut self.gap_hops);
        self.hops += if self.hops == 0 { 1 } else { gap_hops + 1 };
        // A sibilant may lie within a breath, but is no evidence for one.
        if class != Class::Sibilant {
            self.evidence_ms += log_odds * self.hop_ms;
        }
        (self.evidence_ms >= EVIDENCE_MS).then_some(self.hops)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LIKELY: Option<f32> = Some(2.5);
    const GAP: Option<f32> = None;

    fn after(likely: &mut LikelyBreath, log_odds: Option<f32>, class: Class, time_ms: f32) -> Option<usize> {
        let hops = Timing::new(48_000.0).hops(time_ms);
        (0..hops).map(|_| likely.update_hop(log_odds, class)).last()?
    }

    fn none() -> LikelyBreath {
        LikelyBreath::new(Timing::new(48_000.0))
    }

    #[test]
    fn a_breath_is_found_by_strength_and_length_of_the_evidence() {
        assert_eq!(after(&mut none(), LIKELY, Class::Breath, 98.0), None);
        assert_eq!(
            after(&mut none(), LIKELY, Class::Quiet, 102.0),
            Some(77),
            "since its first hop"
        );
        assert!(
            after(&mut none(), Some(5.0), Class::Voice, 52.0).is_some(),
            "hum may pass for a voice"
        );
        assert_eq!(after(&mut none(), Some(-0.1), Class::Breath, 2000.0), None);
    }

    #[test]
    fn a_sibilant_is_no_evidence_but_may_lie_within_a_breath() {
        let mut likely = none();
        assert_eq!(after(&mut likely, LIKELY, Class::Sibilant, 2000.0), None);
        assert!(after(&mut likely, LIKELY, Class::Breath, 102.0) > Some(1500));
        assert!(after(&mut likely, LIKELY, Class::Sibilant, 50.0).is_some());
    }

    #[test]
    fn a_breath_goes_on_after_a_short_gap_and_ends_in_a_longer_one() {
        let mut likely = none();
        assert_eq!(after(&mut likely, GAP, Class::Quiet, 15.0), None);
        assert_eq!(after(&mut likely, LIKELY, Class::Breath, 120.0), Some(90));
        assert_eq!(after(&mut likely, GAP, Class::Quiet, 15.0), None);
        assert_eq!(
            after(&mut likely, LIKELY, Class::Breath, 20.0),
            Some(90 + 11 + 15)
        );
        after(&mut likely, GAP, Class::Quiet, 25.0);
        assert_eq!(after(&mut likely, LIKELY, Class::Breath, 20.0), None);
    }
}
