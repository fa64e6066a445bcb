//! What the detector is given: each voice at each rate under each condition.

use std::str::FromStr;

use clap::ValueEnum;
use siskin_tests::measurement::figures::detector::Score;
use siskin_tests::measurement::voices::conditions::Condition;
use siskin_tests::measurement::voices::corpus::{Recording, resample};

/// The rate of most sessions, Hz.
const SESSION_RATE_HZ: f64 = 48_000.0;

/// What the command line says of conditions. The clean voice is always among them: the others are held against it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChosenConditions {
    Clean,
    One(Condition),
    All,
}

impl ChosenConditions {
    /// Every condition to score; none is the clean voice.
    pub fn list(&self) -> Vec<Option<Condition>> {
        let hard = match self {
            Self::Clean => &[][..],
            Self::One(condition) => std::slice::from_ref(condition),
            Self::All => Condition::value_variants(),
        };
        std::iter::once(None)
            .chain(hard.iter().copied().map(Some))
            .collect()
    }
}

impl FromStr for ChosenConditions {
    type Err = String;

    fn from_str(name: &str) -> Result<Self, String> {
        match name {
            "clean" => Ok(Self::Clean),
            "all" => Ok(Self::All),
            _ => Condition::from_str(name, false).map(Self::One).map_err(|_| {
                let all = Condition::value_variants().iter();
                let names: Vec<String> = all.map(|condition| condition.name()).collect();
                format!("there are clean, all, {}", names.join(", "))
            }),
        }
    }
}

/// What the command line says of sample rates.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ChosenRates {
    Own,
    #[value(name = "48000")]
    Session,
    Both,
}

impl ChosenRates {
    /// The rates at which a recording of `own_hz` is scored, Hz, each once.
    fn list_hz(self, own_hz: f64) -> Vec<f64> {
        match self {
            Self::Own => vec![own_hz],
            Self::Session => vec![SESSION_RATE_HZ],
            Self::Both if own_hz == SESSION_RATE_HZ => vec![own_hz],
            Self::Both => vec![own_hz, SESSION_RATE_HZ],
        }
    }
}

/// One voice at one rate under one condition.
#[derive(Debug, Clone, Copy)]
pub struct Take<'a> {
    pub recording: &'a Recording,
    /// None is the clean voice.
    pub condition: Option<Condition>,
    pub sample_rate_hz: f64,
    /// Of whatever the condition draws by lot: another one for each voice.
    pub seed: u64,
}

impl Take<'_> {
    /// The sound and its labels. The rate comes first, so that what a condition adds fills the whole band.
    pub fn perform(&self) -> Recording {
        let at_rate = resample::to_rate(self.recording, self.sample_rate_hz);
        match self.condition {
            Some(condition) => condition.apply(&at_rate, self.seed),
            None => at_rate,
        }
    }
}

/// A take and what came of it.
#[derive(Debug, Clone)]
pub struct Scored<'a> {
    pub take: Take<'a>,
    pub score: Score,
}

/// Every take, in the order of the conditions. `voices` come with their places in the corpus.
pub fn all<'a>(
    voices: &[(usize, &'a Recording)],
    conditions: &[Option<Condition>],
    rates: ChosenRates,
) -> Vec<Take<'a>> {
    let of_voice = |condition, place: usize, recording: &'a Recording| {
        let rates_hz = rates.list_hz(recording.sample_rate_hz);
        rates_hz.into_iter().map(move |sample_rate_hz| Take {
            recording,
            condition,
            sample_rate_hz,
            seed: place as u64 + 1,
        })
    };
    conditions
        .iter()
        .flat_map(|&condition| {
            voices
                .iter()
                .flat_map(move |&(place, recording)| of_voice(condition, place, recording))
        })
        .collect()
}

/// What a person reads of a condition.
pub fn title(condition: Option<Condition>) -> String {
    match condition {
        None => "clean".to_owned(),
        Some(condition) => format!("{}: {}", condition.name(), condition.describe()),
    }
}

/// Its name on the command line.
pub fn name(condition: Option<Condition>) -> String {
    condition.map_or("clean".to_owned(), Condition::name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_tests::measurement::voices::corpus::from_song;
    use siskin_tests::measurement::voices::singer::sing;

    #[test]
    fn every_rate_is_heard_once_and_clean_always() {
        let song = from_song(&sing(44_100.0, 1));
        let takes = |conditions: &str, rates| {
            let conditions: ChosenConditions = conditions.parse().unwrap();
            all(&[(0, &song)], &conditions.list(), rates)
        };
        assert_eq!(takes("clean", ChosenRates::Both).len(), 2);
        assert_eq!(takes("hum", ChosenRates::Own).len(), 2);
        assert_eq!(
            takes("all", ChosenRates::Session).len(),
            1 + Condition::value_variants().len()
        );
        assert_eq!(ChosenRates::Both.list_hz(48_000.0), [48_000.0]);
        let take = takes("clean", ChosenRates::Session)[0].perform();
        assert_eq!(take.sample_rate_hz, 48_000.0);
        assert!("loud".parse::<ChosenConditions>().unwrap_err().contains("hiss"));
    }
}
