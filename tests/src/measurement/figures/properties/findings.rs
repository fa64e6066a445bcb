//! What was measured, kept apart by quantity and by passage, and the figures that sum it up.

use std::collections::BTreeMap;
use std::ops::AddAssign;

use super::quantity::Quantity;
use crate::measurement::levels::{mean, share_within};

/// Fewer events than this give no mean and no share of their own.
const FEWEST_EVENTS: usize = 10;

/// Every single reading.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Findings {
    readings: BTreeMap<Quantity, BTreeMap<String, Vec<f32>>>,
}

impl Findings {
    /// Adds readings of a passage; readings that are no number are kept and count as errors without bound.
    pub fn note(&mut self, quantity: Quantity, passage: &str, values: impl IntoIterator<Item = f32>) {
        let passages = self.readings.entry(quantity).or_default();
        passages.entry(passage.to_owned()).or_default().extend(values);
    }

    /// Adds one reading.
    pub fn note_one(&mut self, quantity: Quantity, passage: &str, value: f32) {
        self.note(quantity, passage, [value]);
    }

    /// Every passage of which a quantity was read, by name.
    pub fn passages(&self, quantity: Quantity) -> impl Iterator<Item = (&str, &[f32])> {
        let passages = self.readings.get(&quantity).into_iter().flatten();
        passages.map(|(name, values)| (name.as_str(), values.as_slice()))
    }

    /// All readings of a quantity.
    pub fn all(&self, quantity: Quantity) -> Vec<f32> {
        self.passages(quantity)
            .flat_map(|(_, values)| values)
            .copied()
            .collect()
    }
}

impl AddAssign for Findings {
    fn add_assign(&mut self, other: Self) {
        for (quantity, passages) in other.readings {
            for (passage, values) in passages {
                self.note(quantity, &passage, values);
            }
        }
    }
}

impl std::iter::Sum for Findings {
    fn sum<I: Iterator<Item = Self>>(findings: I) -> Self {
        findings.fold(Self::default(), |mut sum, findings| {
            sum += findings;
            sum
        })
    }
}

/// How many readings become one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Figure {
    /// The sum of all.
    Total,
    /// The largest.
    Highest,
    /// The largest in size.
    Farthest,
    /// The mean size of all.
    MeanSize,
    /// The mean of a passage, of that passage whose mean is largest in size.
    PassageMean,
    /// The share, percent, whose size is at most this.
    PercentWithin(f32),
    /// The share, percent, whose size is more than this.
    PercentBeyond(f32),
    /// By how many points the share whose size is at most this lies below that of another quantity.
    PointsBelow(Quantity, f32),
}

impl Figure {
    /// The figure; none where there is too little to read it from.
    pub fn of(self, findings: &Findings, quantity: Quantity) -> Option<f32> {
        let values = findings.all(quantity);
        let share = |percent: f32| (values.len() >= FEWEST_EVENTS).then_some(percent);
        match self {
            Self::Total => (!values.is_empty()).then(|| values.iter().sum()),
            Self::Highest => values.iter().copied().reduce(higher),
            Self::Farthest => values.iter().map(|value| value.abs()).reduce(higher),
            Self::MeanSize => share(mean(&values.iter().map(|value| value.abs()).collect::<Vec<_>>())),
            Self::PassageMean => {
                let passages = findings.passages(quantity);
                let large_enough = passages.filter(|(_, values)| values.len() >= FEWEST_EVENTS);
                let means = large_enough.map(|(_, values)| mean(values));
                means.reduce(|one, two| if one.abs() >= two.abs() { one } else { two })
            }
            Self::PercentWithin(bound) => share(100.0 * share_within(&values, bound)),
            Self::PercentBeyond(bound) => share(100.0 - 100.0 * share_within(&values, bound)),
            Self::PointsBelow(other, bound) => {
                let other_percent = Self::PercentWithin(bound).of(findings, other)?;
                share(other_percent - 100.0 * share_within(&values, bound))
            }
        }
    }
}

/// The larger of two; what is no number is largest.
fn higher(one: f32, two: f32) -> f32 {
    if two > one || two.is_nan() { two } else { one }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn findings() -> Findings {
        let mut findings = Findings::default();
        findings.note(Quantity::OutsideError, "soft", [0.5; 10]);
        findings.note(Quantity::OutsideError, "loud", [-3.0; 10]);
        findings.note_one(Quantity::OutsideError, "short", 9.0);
        findings
    }

    #[test]
    fn figures_sum_up_what_was_read() {
        let read = |figure: Figure| figure.of(&findings(), Quantity::OutsideError);
        assert_eq!(read(Figure::Total), Some(-16.0));
        assert_eq!(read(Figure::Highest), Some(9.0));
        assert_eq!(read(Figure::Farthest), Some(9.0));
        assert_eq!(read(Figure::PassageMean), Some(-3.0));
        let percent = read(Figure::PercentWithin(1.0)).expect("enough events");
        assert!((percent - 1000.0 / 21.0).abs() < 1e-3, "{percent} %");
        let mut known = findings();
        known.note(Quantity::KnownBackError, "soft", [0.5; 10]);
        let points = Figure::PointsBelow(Quantity::KnownBackError, 1.0).of(&known, Quantity::OutsideError);
        assert!((points.expect("enough events") - 1100.0 / 21.0).abs() < 1e-3);
        assert_eq!(Figure::Total.of(&findings(), Quantity::OwnError), None);
    }

    #[test]
    fn what_is_no_number_is_worst_and_too_few_events_have_no_share() {
        let mut findings = Findings::default();
        findings.note(Quantity::OwnError, "a", [1.0, f32::NAN, 2.0]);
        assert!(
            Figure::Farthest
                .of(&findings, Quantity::OwnError)
                .is_some_and(f32::is_nan)
        );
        assert_eq!(Figure::PercentWithin(5.0).of(&findings, Quantity::OwnError), None);
    }

    #[test]
    fn sums_keep_passages_apart() {
        let sum: Findings = [findings(), findings()].into_iter().sum();
        let lengths: Vec<_> = sum
            .passages(Quantity::OutsideError)
            .map(|(name, values)| (name.to_owned(), values.len()))
            .collect();
        assert_eq!(
            lengths,
            [("loud".into(), 20), ("short".into(), 2), ("soft".into(), 20)]
        );
    }
}
