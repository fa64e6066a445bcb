//! Real breaths as events: which of those labelled by eye the breath stage takes, and what else it takes for one.
//!
//! The stage runs with 24 dB of range and a proportion of -40 LU, so that it turns down whatever it decides is a breath. A hop is
//! *taken* where it stands 3 dB down or more. A breath is *heard* where at least half of its hops are taken. A run of taken hops is
//! *right* where it touches a labelled breath; it counts for nothing where it touches only what may be one.

use std::ops::Range;

use siskin_dsp::{Lookahead, Settings};

use super::detector::Share;
use super::properties::{Play, Played};
use crate::measurement::voices::corpus::{Recording, Sound};

/// A hop is taken from here on, dB.
const TAKEN_DB: f32 = 3.0;
/// The share of a breath's hops from which it is heard.
const HEARD: f64 = 0.5;
/// Breath proportion, LU, and range, dB: the ends of what can be set.
const PROPORTION_LU: f32 = -40.0;
const RANGE_DB: f32 = 24.0;

/// Counts and times over recordings.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct BreathEvents {
    /// Labelled breaths that are heard.
    pub recall: Share,
    /// Runs that are right.
    pub precision: Share,
    /// How long after its label's start each heard breath is taken, ms; negative where earlier.
    pub late_ms: Vec<f32>,
}

impl BreathEvents {
    /// What becomes of the breaths of one recording.
    pub fn of(recording: &Recording, lookahead: Lookahead) -> Self {
        let mut settings = Settings::default();
        settings.breath.on = true;
        settings.breath.proportion_lu = PROPORTION_LU;
        settings.breath.range_db = RANGE_DB;
        let voice = [recording.audio.clone()];
        let play = Play {
            lookahead,
            ..Play::new(recording.sample_rate_hz, &voice, &settings)
        };
        Self::from_played(recording, &play.run())
    }

    fn from_played(recording: &Recording, played: &Played) -> Self {
        let runs = taken_runs(played);
        let touches =
            |run: &Range<usize>, sound| recording.of(sound).any(|phone| overlap(run, &phone.span) > 0);
        let counted = runs
            .iter()
            .filter(|run| touches(run, Sound::Breath) || !touches(run, Sound::Other));
        let precision = Share::of(counted, |run| touches(run, Sound::Breath));
        let heard = |span: &&Range<usize>| {
            let hops = played.within(span);
            let taken = hops.iter().filter(|hop| is_taken(hop.breath_gain_db)).count();
            !hops.is_empty() && taken as f64 >= HEARD * hops.len() as f64
        };
        let breaths = || recording.of(Sound::Breath).map(|phone| &phone.span);
        let late = breaths().filter(heard).filter_map(|span| {
            let first = runs.iter().find(|run| overlap(run, span) > 0)?;
            let late_samples = first.start as f64 - span.start as f64;
            Some((1e3 * late_samples / recording.sample_rate_hz) as f32)
        });
        Self {
            recall: Share::of(breaths(), heard),
            precision,
            late_ms: late.collect(),
        }
    }
}

summed!(BreathEvents { recall, precision } joined { late_ms });

fn is_taken(breath_gain_db: f32) -> bool {
    breath_gain_db <= -TAKEN_DB
}

/// Every run of taken hops, from the centre of its first to the end of its last, in samples.
fn taken_runs(played: &Played) -> Vec<Range<usize>> {
    let hop_samples = match played.reports[..] {
        [first, second, ..] => second.centre_sample - first.centre_sample,
        _ => 1,
    };
    let at = |sample: i64| sample.max(0) as usize;
    let runs = played
        .reports
        .chunk_by(|one, two| is_taken(one.breath_gain_db) == is_taken(two.breath_gain_db));
    runs.filter(|run| is_taken(run[0].breath_gain_db))
        .map(|run| at(run[0].centre_sample)..at(run[run.len() - 1].centre_sample + hop_samples))
        .collect()
}

fn overlap(one: &Range<usize>, other: &Range<usize>) -> usize {
    one.end.min(other.end).saturating_sub(one.start.max(other.start))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::corpus::{Origin, Phone, Precision};
    use siskin_dsp::HopReport;

    /// Labels of a second each way: a breath, what may be one, and another breath.
    fn recording() -> Recording {
        let phone = |symbol: &str, sound, span| Phone {
            symbol: symbol.into(),
            sound,
            span,
        };
        Recording {
            name: "made".into(),
            source: "here".into(),
            origin: Origin::Synthetic,
            language: "en".into(),
            precision: Precision::Exact,
            sample_rate_hz: 1000.0,
            audio: vec![0.0; 5000],
            phones: vec![
                phone("breath", Sound::Breath, 1000..1400),
                phone("faint", Sound::Other, 2000..2400),
                phone("breath", Sound::Breath, 3000..3400),
            ],
        }
    }

    /// A stage that takes these spans.
    fn taking(spans: &[Range<i64>]) -> Played {
        let report = |centre_sample| HopReport {
            centre_sample,
            breath_gain_db: if spans.iter().any(|span| span.contains(&centre_sample)) {
                -6.0
            } else {
                -1.0
            },
            ..HopReport::default()
        };
        Played {
            audio: Vec::new(),
            reports: (0..5000).step_by(10).map(report).collect(),
        }
    }

    fn share(part: usize, whole: usize) -> Share {
        Share { part, whole }
    }

    #[test]
    fn perfect_late_and_trigger_happy_stages_get_what_they_deserve() {
        let of = |spans: &[Range<i64>]| BreathEvents::from_played(&recording(), &taking(spans));
        let perfect = of(&[1000..1400, 3000..3400]);
        assert_eq!((perfect.recall, perfect.precision), (share(2, 2), share(2, 2)));
        assert_eq!(perfect.late_ms, [0.0, 0.0]);
        let late = of(&[1100..1400, 3300..3400]);
        assert_eq!((late.recall, late.precision), (share(1, 2), share(2, 2)));
        assert_eq!(late.late_ms, [100.0]);
        let eager = of(&[980..1400, 2100..2200, 4000..4100]);
        assert_eq!((eager.recall, eager.precision), (share(1, 2), share(1, 2)));
        assert_eq!(eager.late_ms, [-20.0]);
        let deaf = of(&[]);
        assert_eq!((deaf.recall, deaf.precision), (share(0, 2), share(0, 0)));
    }
}
