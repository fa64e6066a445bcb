//! What went wrong, one by one.

use std::fmt;
use std::ops::Range;

use crate::measurement::voices::corpus::Phone;

/// One way of mishearing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mishap {
    /// A sibilant that was not heard.
    SibilantMissed,
    /// A vowel or sonorant that was taken for a sibilant, and reduced.
    FalseSibilant,
    /// An f, th or h that was taken for a sibilant, and reduced.
    WeakFricativeReduced,
    /// A breath that was not heard as one.
    BreathMissed,
    /// A breath that was taken for a sibilant.
    BreathCalledSibilant,
    /// A sibilant that was heard before it began, by so many ms.
    OnsetEarly(f32),
    /// A sibilant that was heard too late for the lookahead, by so many ms.
    OnsetLate(f32),
}

/// One event that went wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// What went wrong.
    pub mishap: Mishap,
    /// The label's symbol, as the source writes it; where there is more than one, all of them.
    pub symbol: String,
    /// Where, samples.
    pub span: Range<usize>,
    /// How much of the sound is treated as it should not be, dB: what a missed sibilant or breath keeps above its
    /// threshold (Proportion -12 LU, Breath proportion -20 LU), the reduction that a falsely heard one suffers, the
    /// reduction that comes early or late, spread over the length of the label.
    pub severity_db: f32,
}

impl Case {
    /// What went wrong with one label.
    pub(super) fn of(phone: &Phone, mishap: Mishap, severity_db: f32) -> Self {
        Self {
            mishap,
            symbol: phone.symbol.clone(),
            span: phone.span.clone(),
            severity_db,
        }
    }
}

impl fmt::Display for Case {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (symbol, db) = (&self.symbol, self.severity_db);
        let text = match self.mishap {
            Mishap::SibilantMissed => {
                format!("\"{symbol}\" is not heard as a sibilant and stays {db:+.1} dB from the threshold.")
            }
            Mishap::FalseSibilant => {
                format!("\"{symbol}\" is taken for a sibilant and reduced by up to {db:.1} dB.")
            }
            Mishap::WeakFricativeReduced => {
                format!("\"{symbol}\", a weak fricative, is taken for a sibilant and reduced by {db:.1} dB.")
            }
            Mishap::BreathMissed => {
                format!("A breath is not heard as one and stays {db:+.1} dB from its threshold.")
            }
            Mishap::BreathCalledSibilant => {
                format!("A breath is taken for a sibilant and reduced by up to {db:.1} dB.")
            }
            Mishap::OnsetEarly(ms) => format!(
                "\"{symbol}\" is heard {ms:.1} ms before it begins: {db:.1} dB, spread over its length, fall on what is before."
            ),
            Mishap::OnsetLate(ms) => format!(
                "\"{symbol}\" is heard {ms:.1} ms too late: {db:.1} dB, spread over its length, miss its onset."
            ),
        };
        out.write_str(&text)
    }
}

/// The cases, the most severe first.
pub fn worst_first(cases: impl Iterator<Item = Case>) -> Vec<Case> {
    let mut cases: Vec<Case> = cases.collect();
    cases.sort_by(|one, two| two.severity_db.total_cmp(&one.severity_db));
    cases
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worst_comes_first_and_says_what_went_wrong() {
        let case = |mishap, severity_db| Case {
            mishap,
            symbol: "s".into(),
            span: 0..1,
            severity_db,
        };
        let cases = worst_first(
            [
                case(Mishap::OnsetLate(5.0), 1.0),
                case(Mishap::SibilantMissed, 6.0),
            ]
            .into_iter(),
        );
        assert_eq!(cases[0].mishap, Mishap::SibilantMissed);
        assert!(cases[0].to_string().contains("+6.0 dB"));
        assert!(cases[1].to_string().contains("5.0 ms too late"));
    }
}
