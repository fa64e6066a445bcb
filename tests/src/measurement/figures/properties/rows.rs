//! The rows of the properties table: what is read, what it must be, and how it is written.

use super::findings::{Figure, Findings};
use super::quantity::Quantity;
use crate::measurement::goal::Goal;

/// One row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// The property, as the developers' page names it.
    pub property: &'static str,
    /// What the figure is.
    pub what: &'static str,
    /// What is read.
    pub quantity: Quantity,
    /// How the readings become one figure.
    pub figure: Figure,
    /// What it must be.
    pub goal: Goal,
    /// Unit of the figure; empty for a count.
    pub unit: &'static str,
    /// Digits after the point.
    pub digits: usize,
}

impl Row {
    /// The figure of some findings; none where nothing was read.
    pub fn read(&self, findings: &Findings) -> Option<f32> {
        self.figure.of(findings, self.quantity)
    }

    /// Whether a figure is worse than another; what is no number is worst.
    pub fn is_worse(&self, figure: f32, other: f32) -> bool {
        let badness = |figure: f32| match self.figure {
            Figure::PercentWithin(_) => -figure,
            Figure::PassageMean => figure.abs(),
            _ if matches!(self.goal, Goal::AtLeast(_)) => -figure,
            _ => figure,
        };
        figure.is_nan() || badness(figure) > badness(other)
    }

    /// A figure as it is written.
    pub fn text(&self, figure: f32) -> String {
        let digits = self.digits;
        let space = if self.unit.is_empty() { "" } else { " " };
        // No minus before a zero.
        let figure = if figure.abs() < 0.5 * 10f32.powi(-(digits as i32)) {
            0.0
        } else {
            figure
        };
        format!("{figure:.digits$}{space}{}", self.unit)
    }

    /// Whether a figure meets the goal; none where it is not judged.
    pub fn is_met(&self, figure: f32) -> Option<bool> {
        self.goal.is_met(f64::from(figure))
    }
}

const fn row(
    (property, what): (&'static str, &'static str),
    quantity: Quantity,
    figure: Figure,
    goal: Goal,
    (unit, digits): (&'static str, usize),
) -> Row {
    Row {
        property,
        what,
        quantity,
        figure,
        goal,
        unit,
        digits,
    }
}

use Figure::{Farthest, Highest, MeanSize, PassageMean, PercentBeyond, PercentWithin, PointsBelow, Total};
use Goal::{AtLeast, AtMost, Unjudged, Within};
use Quantity as Q;

/// Share of the reduction reached at the onset, percent.
const ONSET_PERCENT: f64 = 90.0;
const NONE: Goal = AtMost(0.0);
const PERCENT: (&str, usize) = ("%", 1);
const POINTS: (&str, usize) = ("points", 1);
const COUNT: (&str, usize) = ("", 0);
const DB: (&str, usize) = ("dB", 2);
const LU: (&str, usize) = ("LU", 2);

/// All rows, in the order of the page.
#[rustfmt::skip]
pub const ROWS: &[Row] = &[
    row(("identity", "samples that differ"), Q::IdentityDiffering, Total, NONE, COUNT),
    row(("level invariance", "residual at -18, +12 dB"), Q::InvarianceResidual, Highest, AtMost(-60.0), ("dB", 0)),
    row(("proportion, own rule", "within 1 LU"), Q::OwnError, PercentWithin(1.0), AtLeast(95.0), PERCENT),
    row(("", "within 1 LU, whole labels"), Q::OwnErrorWholeLabel, PercentWithin(1.0), Unjudged(""), PERCENT),
    row(("proportion, from outside", "mean of a section"), Q::OutsideError, PassageMean, Within(0.5), LU),
    row(("", "within 2 LU"), Q::OutsideError, PercentWithin(2.0), AtLeast(95.0), PERCENT),
    row(("", "within 1 LU"), Q::OutsideError, PercentWithin(1.0), Unjudged("(90 %)"), PERCENT),
    row(("- known labels, 400 ms back", "within 2 LU"), Q::KnownBackError, PercentWithin(2.0), Unjudged(""), PERCENT),
    row(("", "within 1 LU"), Q::KnownBackError, PercentWithin(1.0), Unjudged(""), PERCENT),
    row(("", "Siskin below it, 2 LU"), Q::OutsideError, PointsBelow(Q::KnownBackError, 2.0), AtMost(2.0), POINTS),
    row(("", "Siskin below it, 1 LU"), Q::OutsideError, PointsBelow(Q::KnownBackError, 1.0), AtMost(5.0), POINTS),
    row(("- known labels, both sides", "within 2 LU"), Q::KnownBothSidesError, PercentWithin(2.0), Unjudged(""), PERCENT),
    row(("", "within 1 LU"), Q::KnownBothSidesError, PercentWithin(1.0), Unjudged(""), PERCENT),
    row(("vowels untouched", "mean of a section"), Q::VowelChange, PassageMean, Within(0.1), ("dB", 3)),
    row(("", "beyond 0.5 dB"), Q::VowelChange, PercentBeyond(0.5), AtMost(1.0), ("%", 2)),
    row(("lookahead of 300 ms", "within 2 LU"), Q::MixingError, PercentWithin(2.0), AtLeast(97.0), PERCENT),
    row(("", "within 1 LU"), Q::MixingError, PercentWithin(1.0), AtLeast(88.0), PERCENT),
    row(("", "below known labels, both sides, 2 LU"), Q::MixingError, PointsBelow(Q::KnownBothSidesError, 2.0), AtMost(2.0), POINTS),
    row(("", "vowels beyond 0.5 dB"), Q::MixingVowelChange, PercentBeyond(0.5), AtMost(0.5), ("%", 2)),
    row(("", "start anywhere, worst sibilant"), Q::MixingStartDifference, Farthest, AtMost(0.5), DB),
    row(("", "any sample rate, worst sibilant"), Q::MixingRateDifference, Farthest, AtMost(0.5), DB),
    row(("", "onset, stands after 1 ms, mean"), Q::MixingOnsetStanding, MeanSize, AtLeast(95.0), PERCENT),
    row(("", "left 20 ms after, <0.5 dB"), Q::MixingOnsetLeft, PercentWithin(0.5), AtLeast(95.0), PERCENT),
    row(("start anywhere", "worst sibilant"), Q::StartDifference, Farthest, AtMost(0.5), DB),
    row(("", "within 0.5 dB"), Q::StartDifference, PercentWithin(0.5), Unjudged(""), PERCENT),
    row(("- after a jump", "worst sibilant"), Q::SeekDifference, Farthest, AtMost(0.5), DB),
    row(("", "within 0.5 dB"), Q::SeekDifference, PercentWithin(0.5), Unjudged(""), PERCENT),
    row(("- Start level 12 dB off", "worst sibilant"), Q::StartLevelDifference, Farthest, AtMost(0.5), DB),
    row(("- after 5 s of bypass", "worst sibilant"), Q::BypassDifference, Farthest, AtMost(0.5), DB),
    row(("- loop, ten passes", "worst sibilant"), Q::LoopDifference, Farthest, AtMost(0.1), DB),
    row(("", "within 0.1 dB"), Q::LoopDifference, PercentWithin(0.1), Unjudged(""), PERCENT),
    row(("", "residual of a pass"), Q::LoopResidual, Highest, Unjudged(""), ("dB", 0)),
    row(("- host tells no position", "start: worst sibilant"), Q::NoPositionStartDifference, Farthest, AtMost(0.5), DB),
    row(("", "start: within 0.5 dB"), Q::NoPositionStartDifference, PercentWithin(0.5), Unjudged(""), PERCENT),
    row(("", "loop: worst sibilant"), Q::NoPositionLoopDifference, Farthest, AtMost(0.1), DB),
    row(("", "loop: within 0.1 dB"), Q::NoPositionLoopDifference, PercentWithin(0.1), Unjudged(""), PERCENT),
    row(("any block size", "samples that differ"), Q::BlockDiffering, Total, NONE, COUNT),
    row(("any sample rate", "worst sibilant"), Q::RateDifference, Farthest, AtMost(0.5), DB),
    row(("", "within 0.5 dB"), Q::RateDifference, PercentWithin(0.5), Unjudged(""), PERCENT),
    row(("", "mean size"), Q::RateDifference, MeanSize, Unjudged(""), DB),
    row(("repeatable", "differ after a reset"), Q::ResetDiffering, Total, NONE, COUNT),
    row(("", "differ, two bounces"), Q::BounceDiffering, Total, NONE, COUNT),
    row(("no lisp", "beyond Range, reported"), Q::ReportedBeyondRange, Highest, AtMost(0.001), ("dB", 3)),
    row(("", "beyond Range, measured"), Q::MeasuredBeyondRange, Highest, AtMost(0.1), DB),
    row(("", "below the threshold"), Q::BelowThreshold, Highest, AtMost(0.3), DB),
    row(("onset, its rise cut out", "stands after 1 ms, mean"), Q::OnsetStanding, MeanSize, AtLeast(ONSET_PERCENT), PERCENT),
    row(("", "left 20 ms after, <0.5 dB"), Q::OnsetLeft, PercentWithin(0.5), AtLeast(95.0), PERCENT),
    row(("sections, 18 dB, no rest", "mean, from outside"), Q::SectionError, PassageMean, Within(0.5), LU),
    row(("", "within 2 LU"), Q::SectionError, PercentWithin(2.0), AtLeast(95.0), PERCENT),
    row(("", "within 1 LU"), Q::SectionError, PercentWithin(1.0), Unjudged(""), PERCENT),
    row(("sections, 18 dB, a rest", "within 2 LU"), Q::SectionRestError, PercentWithin(2.0), AtLeast(95.0), PERCENT),
    row(("", "within 1 LU"), Q::SectionRestError, PercentWithin(1.0), Unjudged(""), PERCENT),
    row(("- against no jump", "worst sibilant"), Q::SectionDifference, Farthest, AtMost(1.0), DB),
    row(("", "within 0.5 dB"), Q::SectionDifference, PercentWithin(0.5), Unjudged(""), PERCENT),
    row(("- first 300 ms", "beyond Range"), Q::SectionBeyondRange, Highest, AtMost(0.1), DB),
    row(("", "boost"), Q::SectionBoost, Highest, AtMost(0.1), DB),
    row(("double, +-12 dB", "to the lead, within 2 LU"), Q::DoubleError, PercentWithin(2.0), AtLeast(95.0), PERCENT),
    row(("", "within 1 LU"), Q::DoubleError, PercentWithin(1.0), Unjudged(""), PERCENT),
    row(("backing stack, +-12 dB", "to the lead, within 2 LU"), Q::StackError, PercentWithin(2.0), AtLeast(95.0), PERCENT),
    row(("", "within 1 LU"), Q::StackError, PercentWithin(1.0), Unjudged(""), PERCENT),
    row(("breath track, +-12 dB", "to the lead, within 2 LU"), Q::BreathError, PercentWithin(2.0), AtLeast(95.0), PERCENT),
    row(("side-chain unconnected", "samples that differ"), Q::UnconnectedDiffering, Total, NONE, COUNT),
    row(("side-chain falls silent", "step of the voice level"), Q::FallbackVoiceStep, Highest, AtMost(0.5), LU),
    row(("", "gain step beyond others"), Q::FallbackGainStep, Highest, AtMost(0.1), DB),
    row(("side-chain 10 ms off", "mean change"), Q::Misaligned10Ms, MeanSize, Unjudged(""), LU),
    row(("", "worst change"), Q::Misaligned10Ms, Farthest, Unjudged(""), LU),
    row(("side-chain 50 ms off", "mean change"), Q::Misaligned50Ms, MeanSize, Unjudged(""), LU),
    row(("", "worst change"), Q::Misaligned50Ms, Farthest, Unjudged(""), LU),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_judged_and_written() {
        let row = ROWS[1];
        assert_eq!(row.is_met(-61.0), Some(true));
        assert_eq!(row.is_met(f32::NAN), Some(false));
        assert_eq!(row.is_met(f32::NEG_INFINITY), Some(true));
        assert_eq!(row.text(-61.4), "-61 dB");
        assert_eq!(ROWS[0].text(0.0), "0");
        assert_eq!(ROWS[13].text(-0.0001), "0.000 dB");
        assert_eq!(ROWS[0].goal.text(ROWS[0].unit), "none");
        assert_eq!(row.goal.text(row.unit), "<= -60 dB");
    }
}
