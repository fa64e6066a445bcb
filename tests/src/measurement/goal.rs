//! What figures must come to, and whether they do.

/// What a figure must be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Goal {
    /// At most this.
    AtMost(f64),
    /// Less than this.
    Below(f64),
    /// At most this in size.
    Within(f64),
    /// At least this.
    AtLeast(f64),
    /// Printed and not judged; what a person would like to see, or nothing.
    Unjudged(&'static str),
}

impl Goal {
    /// Whether a figure meets it; none where it is not judged. NaN meets nothing.
    pub fn is_met(self, figure: f64) -> Option<bool> {
        match self {
            Self::AtMost(bound) => Some(figure <= bound),
            Self::Below(bound) => Some(figure < bound),
            Self::Within(bound) => Some(figure.abs() <= bound),
            Self::AtLeast(bound) => Some(figure >= bound),
            Self::Unjudged(_) => None,
        }
    }

    /// The goal in words, as ">= 95 %"; `unit` may be empty.
    pub fn text(self, unit: &str) -> String {
        let with_unit = |text: String| format!("{text} {unit}").trim_end().to_owned();
        match self {
            Self::AtMost(0.0) if unit.is_empty() => "none".to_owned(),
            Self::AtMost(bound) => with_unit(format!("<= {bound}")),
            Self::Below(bound) => with_unit(format!("< {bound}")),
            Self::Within(bound) => with_unit(format!("+-{bound}")),
            Self::AtLeast(bound) => with_unit(format!(">= {bound}")),
            Self::Unjudged(wish) => wish.to_owned(),
        }
    }
}

/// A goal, what was measured against it, and whether it was met.
#[derive(Debug, Clone, PartialEq)]
pub struct Verdict {
    /// What is measured.
    pub what: String,
    /// The goal in words; may be empty where `what` says it.
    pub goal: String,
    /// What was measured, in words.
    pub measured: String,
    /// None where nothing was measured or nothing is asked.
    pub met: Option<bool>,
    /// What others have published on other material, or nothing.
    pub published: &'static str,
}

impl Verdict {
    /// A figure against its goal, written with `digits` digits after the point.
    pub fn of(what: impl Into<String>, goal: Goal, figure: f64, digits: usize, unit: &str) -> Self {
        Self {
            what: what.into(),
            goal: goal.text(unit),
            measured: format!("{figure:.digits$} {unit}").trim_end().to_owned(),
            met: goal.is_met(figure),
            published: "",
        }
    }

    /// The verdict in a word.
    pub fn word(&self) -> &'static str {
        match self.met {
            Some(true) => "met",
            Some(false) => "MISSED",
            None => "-",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn goals_judge_and_name_their_bounds() {
        for (goal, text, met, missed) in [
            (Goal::AtMost(5.0), "<= 5 %", 5.0, 5.1),
            (Goal::Below(5.0), "< 5 %", 4.9, 5.0),
            (Goal::Within(0.5), "+-0.5 %", -0.5, -0.6),
            (Goal::AtLeast(5.0), ">= 5 %", 5.0, 4.9),
        ] {
            assert_eq!(goal.text("%"), text);
            assert_eq!(goal.is_met(met), Some(true), "{text}");
            assert_eq!(goal.is_met(missed), Some(false), "{text}");
            assert_eq!(goal.is_met(f64::NAN), Some(false), "{text}");
        }
        assert_eq!(Goal::AtMost(0.0).text(""), "none");
        assert_eq!(Goal::Unjudged("(90 %)").is_met(0.0), None);
        let verdict = Verdict::of("recall", Goal::AtLeast(95.0), 94.96, 1, "%");
        assert_eq!((verdict.measured.as_str(), verdict.word()), ("95.0 %", "MISSED"));
    }
}
