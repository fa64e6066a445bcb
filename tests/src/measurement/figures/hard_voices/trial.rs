//! One voice under one condition.

use std::ops::Range;

use clap::ValueEnum;
use siskin_dsp::{Channels, Lookahead, Settings};

use super::pair::hard_panned;
use super::pauses::deviations_lu;
use super::tally::Tally;
use crate::measurement::figures::detector::{Hearing, Share, judge};
use crate::measurement::figures::properties::{BeforeAfter, Play, Played, RATE_HZ, Voice};
use crate::measurement::levels::{common, vowel_changes_db};
use crate::measurement::voices::conditions::Condition;
use crate::measurement::voices::corpus::{Phone, Recording, Sound};

/// The seed of all that a condition draws by lot; each recording hashes its name into it.
const SEED: u64 = 1;
/// After a rest of this length a sibilant is a first one, s.
const REST_S: f64 = 1.0;

/// What a levelled voice is put through.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trial {
    /// Nothing.
    Clean,
    /// A hard condition.
    Under(Condition),
    /// Two takes in one insert, one left and one right.
    HardPannedPair(Channels),
}

impl Trial {
    /// All of them, in order.
    pub fn all() -> impl Iterator<Item = Self> {
        let conditions = Condition::value_variants()
            .iter()
            .map(|condition| Self::Under(*condition));
        std::iter::once(Self::Clean)
            .chain(conditions)
            .chain(Channels::ALL.map(Self::HardPannedPair))
    }

    /// Its name on the command line.
    pub fn name(self) -> String {
        match self {
            Self::Clean => "clean".to_owned(),
            Self::Under(condition) => condition.name(),
            Self::HardPannedPair(Channels::Linked) => "hard-panned-pair".to_owned(),
            Self::HardPannedPair(Channels::Apart) => "hard-panned-pair-apart".to_owned(),
        }
    }

    /// Plays the voice through a new insert with this lookahead.
    pub fn tally(self, voice: &Voice, lookahead: Lookahead) -> Tally {
        let levelled = voice.raw.with_audio(voice.levelled.clone());
        match self {
            Self::Clean => tally(voice, lookahead).0,
            Self::HardPannedPair(link) => hard_panned(voice, link, lookahead),
            Self::Under(condition) => {
                let hard = voice.said_as(condition.apply(&levelled, SEED));
                let (mut hard_tally, played) = tally(&hard, lookahead);
                if condition == Condition::LoweredSibilants {
                    let clean = tally(voice, lookahead).1;
                    hard_tally.moved_lu = moved_lu(voice, &clean, &played);
                }
                hard_tally
            }
        }
    }
}

fn tally(voice: &Voice, lookahead: Lookahead) -> (Tally, Played) {
    let given = [voice.levelled.clone()];
    let settings = Settings::default();
    let play = Play {
        lookahead,
        ..Play::new(RATE_HZ, &given, &settings)
    };
    let latency_samples = play.engine().latency_samples();
    let played = play.run();
    let recording = voice.raw.with_audio(voice.levelled.clone());
    let hearing = Hearing::from_reports(played.reports.clone(), latency_samples);
    let mut tally = Tally {
        false_events: judge(&recording, &hearing).figures.false_events,
        pauses_lu: deviations_lu(&played, &recording),
        ..Tally::default()
    };
    let levels = BeforeAfter::new(&voice.levelled, &played.audio[0]);
    let first = first_after_rests(&recording.phones);
    for passage in &voice.passages {
        let heard = voice.heard_sibilants(passage);
        tally.errors_lu.extend(levels.errors_lu(&heard, &passage.vowels));
        tally.hold_against_known_labels(&voice.levelled, &heard, &passage.vowels);
        let firsts = heard
            .into_iter()
            .filter(|span| first.iter().any(|label| !common(label, span).is_empty()));
        let firsts: Vec<_> = firsts.collect();
        tally
            .first_errors_lu
            .extend(levels.errors_lu(&firsts, &passage.vowels));
        let changes_db = vowel_changes_db(&voice.levelled, &played.audio[0], RATE_HZ, &passage.vowels);
        tally.changed_vowels += Share::of(changes_db, |change_db| change_db.abs() > Tally::CHANGED_DB);
    }
    (tally, played)
}

/// Labels of sibilants that follow a second of labelled rest or breath.
fn first_after_rests(phones: &[Phone]) -> Vec<Range<usize>> {
    let is_quiet = |phone: &Phone| matches!(phone.sound, Sound::Rest | Sound::Breath);
    let runs: Vec<&[Phone]> = phones
        .chunk_by(|one, two| is_quiet(one) == is_quiet(two))
        .collect();
    let length = |run: &[Phone]| run[run.len() - 1].span.end - run[0].span.start;
    let rested = runs
        .windows(2)
        .filter(|pair| is_quiet(&pair[0][0]) && length(pair[0]) >= (REST_S * RATE_HZ) as usize);
    let first = rested
        .map(|pair| &pair[1][0])
        .filter(|phone| phone.sound.is_sibilant());
    first.map(|phone| phone.span.clone()).collect()
}

/// How far the reading in the middle of each sibilant lies from that of another run, LU.
fn moved_lu(voice: &Voice, one: &Played, other: &Played) -> Vec<f32> {
    let sibilants = voice.sibilants_after(voice.heard_after(0)).into_iter();
    let readings = sibilants.map(|span| {
        let middle = span.start.midpoint(span.end);
        [one, other].map(|played| {
            played
                .within(&(middle..span.end + voice.levelled.len()))
                .first()
                .map(|report| report.voice_lufs)
        })
    });
    readings.filter_map(|[one, other]| Some(other? - one?)).collect()
}

impl Voice {
    /// The voice with another sound as it arrives at the insert, and its labels.
    fn said_as(&self, levelled: Recording) -> Self {
        Self {
            passages: vec![self.passage_of(&levelled)],
            levelled: levelled.audio.clone(),
            raw: levelled,
            line: self.line.clone(),
            ..*self
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_singer_is_tried_and_every_figure_is_read() {
        let voice = Voice::singer(7);
        let clean = Trial::Clean.tally(&voice, Lookahead::Long);
        assert!(clean.errors_lu.len() > 50 && clean.pauses_lu.len() > 5);
        assert_eq!(clean.errors_lu.len(), clean.back_errors_lu.len());
        assert_eq!(clean.errors_lu.len(), clean.both_sides_errors_lu.len());
        let oracle = Tally::percent_within(&clean.back_errors_lu, 2.0).unwrap();
        assert!(oracle > 95.0, "known labels meet the rule: {oracle} %");

        let first = Trial::Under(Condition::FirstSibilants).tally(&voice, Lookahead::Long);
        assert!(first.first_errors_lu.len() >= 4);
        let moved = Trial::Under(Condition::LoweredSibilants)
            .tally(&voice, Lookahead::Long)
            .moved_lu;
        assert_eq!(moved.len(), clean.errors_lu.len());
        let [linked, apart] = Channels::ALL.map(|link| {
            let pair = Trial::HardPannedPair(link).tally(&voice, Lookahead::Long);
            assert_eq!(pair.errors_lu.len(), pair.back_errors_lu.len());
            Tally::percent_within(&pair.errors_lu, 2.0).unwrap()
        });
        assert!(apart > linked + 5.0, "{apart} % apart, {linked} % linked");
    }

    #[test]
    fn the_first_sound_after_a_long_rest_counts_where_it_is_a_sibilant() {
        let phone = |sound, span| Phone::new("", sound, span);
        let phones = [
            phone(Sound::Rest, 0..40_000),
            phone(Sound::Breath, 40_000..60_000),
            phone(Sound::Sibilant, 60_000..65_000),
            phone(Sound::Vowel, 65_000..70_000),
            phone(Sound::Rest, 70_000..80_000),
            phone(Sound::Sibilant, 80_000..85_000),
        ];
        assert_eq!(first_after_rests(&phones), vec![60_000..65_000]);
    }
}
