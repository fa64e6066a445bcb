//! The goals of the detector, and what others have published.

use siskin_tests::measurement::figures::detector::Figures;
use siskin_tests::measurement::goal::Goal as Bound;

use super::sections::Chapter;

/// Which voices a goal is for.
#[derive(Debug, Clone, Copy)]
enum Voices {
    Real,
    Synthetic,
    All,
}

/// One measure and what it should come to.
pub struct Goal {
    what: &'static str,
    voices: Voices,
    pub bound: Bound,
    pub unit: &'static str,
    pub digits: usize,
    measure: fn(&Figures) -> Option<f64>,
    /// Author, year and figure, as cited; not the same material, hence no bound.
    pub published: &'static str,
}

const SIBILANTS_PUBLISHED: &str = "Jongman et al. 2000, discriminant analysis: s z 85 %, sh zh 91 %; \
J. Acoust. Soc. Am. 87:2729, plosives from fricatives: 96.8 %";
const RECALLED: Goal = Goal {
    what: "s sh ch and strong z zh j recalled",
    voices: Voices::Real,
    bound: Bound::AtLeast(95.0),
    unit: "%",
    digits: 1,
    measure: |figures| figures.sibilants.both().percent(),
    published: SIBILANTS_PUBLISHED,
};
const FALSE_EVENTS: Goal = Goal {
    what: "false sibilants on vowels, nasals, liquids",
    voices: Voices::Real,
    bound: Bound::AtMost(2.0),
    unit: "a minute",
    digits: 2,
    measure: |figures| figures.false_events.per_minute(),
    published: "",
};

/// A share of all voices, percent.
const fn share(
    what: &'static str,
    bound: Bound,
    measure: fn(&Figures) -> Option<f64>,
    published: &'static str,
) -> Goal {
    Goal {
        what,
        voices: Voices::All,
        bound,
        unit: "%",
        digits: 1,
        measure,
        published,
    }
}

const fn error(
    what: &'static str,
    most: f64,
    (unit, digits): (&'static str, usize),
    measure: fn(&Figures) -> Option<f64>,
) -> Goal {
    Goal {
        unit,
        digits,
        ..share(what, Bound::AtMost(most), measure, "")
    }
}

/// All of them.
#[rustfmt::skip]
pub const GOALS: &[Goal] = &[
    Goal { voices: Voices::Synthetic, bound: Bound::AtLeast(98.0), ..RECALLED },
    RECALLED,
    Goal { voices: Voices::Synthetic, bound: Bound::AtMost(1.0), ..FALSE_EVENTS },
    FALSE_EVENTS,
    share("f th h called sibilant and reduced by more than 1 dB", Bound::AtMost(5.0),
        |figures| figures.weak_fricatives.unvoiced_reduced.percent(), ""),
    share("breaths called breath", Bound::AtLeast(95.0), |figures| figures.breaths.called_breath.percent(),
        "Nakano et al. 2008: 97.5 %; Ruinskiy & Lavner 2007: 98 %"),
    share("breaths called sibilant", Bound::AtMost(2.0), |figures| figures.breaths.called_sibilant.percent(), ""),
    share("runs called breath that are breaths", Bound::Unjudged("no goal"), |figures| figures.breaths.precision.percent(),
        "Nakano et al. 2008: 77.7 %; Ruinskiy & Lavner 2007: 96 %"),
    error("onset error, median", 1.0, ("ms", 1), |figures| figures.onsets.absolute_quantile_ms(0.5).map(f64::from)),
    error("onset error, 95th percentile", 4.0, ("ms", 1),
        |figures| figures.onsets.absolute_quantile_ms(0.95).map(f64::from)),
    error("voice level against ebur128, mean size of the error", 0.5, ("LU", 2),
        |figures| figures.voice_level.mean_of_recordings_lu().map(f64::from)),
];

impl Goal {
    /// What the voices that it is for came to; none where there was nothing to measure.
    pub fn measured(&self, chapter: &Chapter) -> Option<f64> {
        let row = match self.voices {
            Voices::Real => &chapter.real,
            Voices::Synthetic => &chapter.synthetic,
            Voices::All => &chapter.all,
        };
        (self.measure)(&row.figures)
    }

    /// How much worse `value` is than `clean`; negative where better.
    pub fn worse_by(&self, value: f64, clean: f64) -> f64 {
        match self.bound {
            Bound::AtMost(_) => value - clean,
            _ => clean - value,
        }
    }

    /// What is measured, and of which voices.
    pub fn subject(&self) -> String {
        let voices = match self.voices {
            Voices::Real => ", real",
            Voices::Synthetic => ", synthetic",
            Voices::All => "",
        };
        format!("{}{voices}", self.what)
    }
}
