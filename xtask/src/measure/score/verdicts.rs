//! What was measured against each goal.

use siskin_tests::measurement::goal::Verdict;

use super::goals::{GOALS, Goal};
use super::sections::Chapter;
use super::takes;

/// How much worse a share may be under a hard condition, points.
const WORSE_POINTS: f64 = 3.0;
const NOTHING: &str = "nothing to measure";

/// Every goal for the clean voices, then one for each hard condition.
pub fn verdicts(chapters: &[Chapter]) -> Vec<Verdict> {
    let Some((clean, hard)) = chapters.split_first() else {
        return Vec::new();
    };
    let clean_ones = GOALS.iter().map(|goal| verdict(goal, clean, hard));
    let hard_ones = hard.iter().map(|chapter| against_clean(chapter, clean));
    clean_ones.chain(hard_ones).collect()
}

/// Where the clean voices hold nothing to measure, as breaths, the first condition that brings some is read.
fn verdict(goal: &Goal, clean: &Chapter, hard: &[Chapter]) -> Verdict {
    let read = std::iter::once(clean)
        .chain(hard)
        .find_map(|chapter| Some((chapter, goal.measured(chapter)?)));
    let Some((chapter, value)) = read else {
        return Verdict {
            measured: NOTHING.to_owned(),
            met: None,
            ..judged(goal, f64::NAN)
        };
    };
    let mut verdict = judged(goal, value);
    if let Some(condition) = chapter.condition {
        verdict.measured += &format!(" ({})", condition.name());
    }
    verdict
}

fn judged(goal: &Goal, value: f64) -> Verdict {
    Verdict {
        published: goal.published,
        ..Verdict::of(goal.subject(), goal.bound, value, goal.digits, goal.unit)
    }
}

/// The shares under a hard condition against those of the clean voices: all that are too much worse, or else the worst.
fn against_clean(chapter: &Chapter, clean: &Chapter) -> Verdict {
    let shares = GOALS.iter().filter(|goal| goal.unit == "%");
    let mut changes: Vec<(f64, String)> = shares
        .filter_map(|goal| {
            let (value, clean) = (goal.measured(chapter)?, goal.measured(clean)?);
            let (worse, what) = (goal.worse_by(value, clean), goal.subject());
            let text = format!("{what}: {value:.1} % against {clean:.1} %, {worse:+.1} points worse");
            Some((worse, text))
        })
        .collect();
    changes.sort_by(|one, two| two.0.total_cmp(&one.0));
    let missed = changes.iter().filter(|change| change.0 > WORSE_POINTS).count();
    changes.truncate(missed.max(1));
    let texts: Vec<String> = changes.into_iter().map(|change| change.1).collect();
    let name = takes::name(chapter.condition);
    Verdict {
        what: format!("{name}: every share"),
        goal: format!("at most {WORSE_POINTS} points worse than clean"),
        met: (!texts.is_empty()).then_some(missed == 0),
        measured: match texts.is_empty() {
            true => NOTHING.to_owned(),
            false => texts.join("; "),
        },
        published: "",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::sections::Row;
    use siskin_tests::measurement::figures::detector::{Figures, Share};
    use siskin_tests::measurement::voices::conditions::Condition;

    /// A chapter in which so many of 100 sibilants of each origin were recalled, and nothing else was measured.
    fn chapter(condition: Option<Condition>, recalled: usize) -> Chapter {
        let row = || {
            let mut figures = Figures::default();
            figures.sibilants.unvoiced = Share {
                part: recalled,
                whole: 100,
            };
            Row {
                name: "voices".to_owned(),
                figures,
            }
        };
        Chapter {
            condition,
            sources: Vec::new(),
            tuning: [row(), row(), row()],
            real: row(),
            synthetic: row(),
            all: row(),
        }
    }

    fn met(chapters: &[Chapter], goal: &str) -> Option<bool> {
        let verdicts = verdicts(chapters);
        let verdict = verdicts.iter().find(|verdict| verdict.what.contains(goal));
        verdict.unwrap().met
    }

    #[test]
    fn each_origin_has_its_own_bound() {
        for (recalled, synthetic, real) in [(98, true, true), (97, false, true), (94, false, false)] {
            let clean = [chapter(None, recalled)];
            assert_eq!(met(&clean, "recalled, synthetic"), Some(synthetic), "{recalled}");
            assert_eq!(met(&clean, "recalled, real"), Some(real), "{recalled}");
        }
        assert_eq!(met(&[chapter(None, 98)], "onset error, median"), None);
    }

    #[test]
    fn a_hard_condition_is_held_against_the_clean_voice() {
        for (recalled, allowed) in [(100, true), (87, true), (86, false)] {
            let chapters = [chapter(None, 90), chapter(Some(Condition::Hum), recalled)];
            assert_eq!(met(&chapters, "hum"), Some(allowed), "{recalled}");
        }
    }
}
