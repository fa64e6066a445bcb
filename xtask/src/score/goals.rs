//! The goals, and what others have published.

use siskin_tests::measurement::figures::detector::Figures;

use super::rows::Chapter;

/// Which voices a goal speaks of.
#[derive(Debug, Clone, Copy)]
enum Voices {
    Real,
    Synthetic,
    All,
}

#[derive(Debug, Clone, Copy)]
enum Bound {
    AtLeast(f64),
    AtMost(f64),
    /// Only to be compared with what is published.
    None,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unit {
    Percent,
    PerMinute,
    Milliseconds,
    Loudness,
}

/// One measure and what it should come to.
pub struct Goal {
    what: &'static str,
    voices: Voices,
    bound: Bound,
    pub unit: Unit,
    measure: fn(&Figures) -> Option<f64>,
    /// Author, year and figure, as cited; not the same material, hence no bound.
    pub published: &'static str,
}

const SIBILANTS_PUBLISHED: &str = "Jongman et al. 2000, discriminant analysis: s z 85 %, sh zh 91 %; \
J. Acoust. Soc. Am. 87:2729, plosives from fricatives: 96.8 %";

/// All of them.
pub const GOALS: &[Goal] = &[
    Goal {
        what: "s sh ch and strong z zh j recalled",
        voices: Voices::Synthetic,
        bound: Bound::AtLeast(98.0),
        unit: Unit::Percent,
        measure: |figures| figures.sibilants.both().percent(),
        published: SIBILANTS_PUBLISHED,
    },
    Goal {
        what: "s sh ch and strong z zh j recalled",
        voices: Voices::Real,
        bound: Bound::AtLeast(95.0),
        unit: Unit::Percent,
        measure: |figures| figures.sibilants.both().percent(),
        published: SIBILANTS_PUBLISHED,
    },
    Goal {
        what: "false sibilants on vowels, nasals, liquids",
        voices: Voices::Synthetic,
        bound: Bound::AtMost(1.0),
        unit: Unit::PerMinute,
        measure: |figures| figures.false_events.per_minute(),
        published: "",
    },
    Goal {
        what: "false sibilants on vowels, nasals, liquids",
        voices: Voices::Real,
        bound: Bound::AtMost(2.0),
        unit: Unit::PerMinute,
        measure: |figures| figures.false_events.per_minute(),
        published: "",
    },
    Goal {
        what: "f th h called sibilant and reduced by more than 1 dB",
        voices: Voices::All,
        bound: Bound::AtMost(5.0),
        unit: Unit::Percent,
        measure: |figures| figures.weak_fricatives.unvoiced_reduced.percent(),
        published: "",
    },
    Goal {
        what: "breaths called breath",
        voices: Voices::All,
        bound: Bound::AtLeast(95.0),
        unit: Unit::Percent,
        measure: |figures| figures.breaths.called_breath.percent(),
        published: "Nakano et al. 2008: 97.5 %; Ruinskiy & Lavner 2007: 98 %",
    },
    Goal {
        what: "breaths called sibilant",
        voices: Voices::All,
        bound: Bound::AtMost(2.0),
        unit: Unit::Percent,
        measure: |figures| figures.breaths.called_sibilant.percent(),
        published: "",
    },
    Goal {
        what: "runs called breath that are breaths",
        voices: Voices::All,
        bound: Bound::None,
        unit: Unit::Percent,
        measure: |figures| figures.breaths.precision.percent(),
        published: "Nakano et al. 2008: 77.7 %; Ruinskiy & Lavner 2007: 96 %",
    },
    Goal {
        what: "onset error, median",
        voices: Voices::All,
        bound: Bound::AtMost(1.0),
        unit: Unit::Milliseconds,
        measure: |figures| figures.onsets.absolute_quantile_ms(0.5).map(f64::from),
        published: "",
    },
    Goal {
        what: "onset error, 95th percentile",
        voices: Voices::All,
        bound: Bound::AtMost(4.0),
        unit: Unit::Milliseconds,
        measure: |figures| figures.onsets.absolute_quantile_ms(0.95).map(f64::from),
        published: "",
    },
    Goal {
        what: "voice level against ebur128, mean size of the error",
        voices: Voices::All,
        bound: Bound::AtMost(0.5),
        unit: Unit::Loudness,
        measure: |figures| figures.voice_level.mean_of_recordings_lu().map(f64::from),
        published: "",
    },
];

impl Goal {
    /// What the voices that it speaks of came to; none where there was nothing to measure.
    pub fn measured(&self, chapter: &Chapter) -> Option<f64> {
        let row = match self.voices {
            Voices::Real => &chapter.real,
            Voices::Synthetic => &chapter.synthetic,
            Voices::All => &chapter.all,
        };
        (self.measure)(&row.figures)
    }

    /// None where nothing is asked.
    pub fn is_met_by(&self, value: f64) -> Option<bool> {
        match self.bound {
            Bound::AtLeast(least) => Some(value >= least),
            Bound::AtMost(most) => Some(value <= most),
            Bound::None => None,
        }
    }

    /// How much worse `value` is than `clean`; negative where better.
    pub fn worse_by(&self, value: f64, clean: f64) -> f64 {
        match self.bound {
            Bound::AtMost(_) => value - clean,
            Bound::AtLeast(_) | Bound::None => clean - value,
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

    /// As a person reads it.
    pub fn title(&self) -> String {
        let bound = match self.bound {
            Bound::AtLeast(least) => format!(", at least {}", self.unit.value(least)),
            Bound::AtMost(most) => format!(", at most {}", self.unit.value(most)),
            Bound::None => ", no goal".to_owned(),
        };
        self.subject() + &bound
    }
}

impl Unit {
    /// A value as a person reads it.
    pub fn value(self, value: f64) -> String {
        match self {
            Self::Percent => format!("{value:.1} %"),
            Self::PerMinute => format!("{value:.2} a minute"),
            Self::Milliseconds => format!("{value:.1} ms"),
            Self::Loudness => format!("{value:.2} LU"),
        }
    }
}
