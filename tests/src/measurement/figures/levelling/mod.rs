//! Voices through a leveller, and the gain that each of their samples got: Siskin's leveller set hard, and the textbook
//! compressor beside it.

mod through;

pub use through::{Levelled, hard_for, siskin, textbook, textbook_alike};

use std::ops::Range;

use crate::measurement::levels::mean;

/// Gains in decibels at samples of the input that lie equally far apart.
#[derive(Debug, Clone, PartialEq)]
pub struct GainTrace {
    /// The gains, dB.
    pub values_db: Vec<f32>,
    /// The sample of the input to which the first belongs; before 0 there is none, while a lookahead fills.
    pub first_sample: i64,
    /// From one to the next, samples.
    pub step_samples: usize,
}

impl GainTrace {
    /// Gains of the samples within a span; empty where it is shorter than a step and lies between two.
    pub fn within(&self, span: &Range<usize>) -> &[f32] {
        let index_of = |sample: usize| {
            let behind = (sample as i64 - self.first_sample).max(0) as usize;
            behind.div_ceil(self.step_samples).min(self.values_db.len())
        };
        &self.values_db[index_of(span.start)..index_of(span.end)]
    }

    /// How far the gain moves within a span: its greatest less its least, dB.
    pub fn travel_db(&self, span: &Range<usize>) -> f32 {
        let (least, greatest) = self
            .within(span)
            .iter()
            .fold((f32::INFINITY, f32::NEG_INFINITY), |(least, greatest), gain| {
                (least.min(*gain), greatest.max(*gain))
            });
        (greatest - least).max(0.0)
    }

    /// The mean reduction over spans, dB, positive.
    pub fn mean_reduction_db(&self, spans: &[Range<usize>]) -> f32 {
        let gains: Vec<f32> = spans.iter().flat_map(|span| self.within(span)).copied().collect();
        -mean(&gains)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_holds_the_gains_of_its_own_samples() {
        let trace = GainTrace {
            values_db: vec![-1.0, -2.0, -5.0, -3.0],
            first_sample: -10,
            step_samples: 20,
        };
        assert!(trace.within(&(0..10)).is_empty());
        assert_eq!(trace.within(&(10..30)), [-2.0]);
        assert_eq!(trace.within(&(11..1000)), [-5.0, -3.0]);
        assert_eq!(trace.travel_db(&(0..1000)), 3.0);
        assert_eq!(trace.travel_db(&(0..10)), 0.0);
        assert_eq!(trace.mean_reduction_db(&[0..20, 40..1000]), 2.5);
    }
}
