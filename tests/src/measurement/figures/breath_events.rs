//! Real breaths as events: which of those labelled by eye are found, and what else is taken for one.
//!
//! A hop is *taken* where the engine reports that it belongs to a breath: what Part splits by and what the breath stage turns down. A
//! breath is *heard* where at least half of its hops are taken. A run of taken hops is *right* where it touches a labelled breath;
//! it counts for nothing where it touches only what may be one.

use std::ops::Range;

use siskin_dsp::{Lookahead, Settings};

use super::detector::Share;
use super::properties::{Play, Played};
use crate::measurement::voices::corpus::resample::to_rate;
use crate::measurement::voices::corpus::{Recording, Sound};

/// The share of a breath's hops from which it is heard.
const HEARD: f64 = 0.5;
/// The lowest rate that the plug-ins are made for, Hz; recordings with less are played at the other.
const LOWEST_RATE_HZ: f64 = 44_100.0;
const PLAYED_RATE_HZ: f64 = 48_000.0;

/// Counts and times over recordings.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct BreathEvents {
    /// Labelled breaths that are heard.
    pub recall: Share,
    /// Runs that are right.
    pub precision: Share,
    /// How long after its label's start each heard breath is taken, ms; negative where earlier.
    pub late_ms: Vec<f32>,
    /// How long after its label's end each is let go, ms; negative where earlier.
    pub end_late_ms: Vec<f32>,
}

impl BreathEvents {
    /// What becomes of the breaths of one recording.
    pub fn of(recording: &Recording, lookahead: Lookahead) -> Self {
        if recording.sample_rate_hz < LOWEST_RATE_HZ {
            return Self::of(&to_rate(recording, PLAYED_RATE_HZ), lookahead);
        }
        let settings = Settings::default();
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
            let taken = hops.iter().filter(|hop| hop.is_breath).count();
            !hops.is_empty() && taken as f64 >= HEARD * hops.len() as f64
        };
        let breaths = || recording.of(Sound::Breath).map(|phone| &phone.span);
        let late_ms = |taken: usize, labelled: usize| {
            (1e3 * (taken as f64 - labelled as f64) / recording.sample_rate_hz) as f32
        };
        let edges = breaths().filter(heard).filter_map(|span| {
            let mut touching = runs.iter().filter(|run| overlap(run, span) > 0);
            let first = touching.next()?;
            let last = touching.next_back().unwrap_or(first);
            Some((late_ms(first.start, span.start), late_ms(last.end, span.end)))
        });
        let (late_ms, end_late_ms) = edges.unzip();
        Self {
            recall: Share::of(breaths(), heard),
            precision,
            late_ms,
            end_late_ms,
        }
    }
}

summed!(BreathEvents { recall, precision } joined { late_ms, end_late_ms });

/// Every run of taken hops, from the centre of its first to the end of its last, in samples.
fn taken_runs(played: &Played) -> Vec<Range<usize>> {
    let hop_samples = match played.reports[..] {
        [first, second, ..] => second.centre_sample - first.centre_sample,
        _ => 1,
    };
    let at = |sample: i64| sample.max(0) as usize;
    let runs = played.reports.chunk_by(|one, two| one.is_breath == two.is_breath);
    runs.filter(|run| run[0].is_breath)
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
            is_breath: spans.iter().any(|span| span.contains(&centre_sample)),
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
