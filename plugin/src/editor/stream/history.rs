//! The last seconds, as plain numbers: a column every sixtieth of a second, and every sibilant whole.

use std::collections::VecDeque;

use siskin_dsp::{Class, HopReport, SibilanceSettings};

pub use super::column::Column;
pub use super::sibilant::Sibilant;
use super::sibilant::Sounding;
use crate::editor::layout::{PAST_S, TALLY};

/// Columns that the past is kept in.
pub const COLUMNS: usize = 480;
/// What a column lasts, seconds.
const COLUMN_S: f32 = PAST_S / COLUMNS as f32;
/// A shorter sibilant is drawn but not counted: the burst of a t has no proportion that could be read.
const COUNTED_S: f32 = 0.02;

/// The past, oldest first.
#[derive(Debug, Clone, Default)]
pub struct History {
    columns: VecDeque<Column>,
    sibilants: VecDeque<Sibilant>,
    sounding: Option<Sounding>,
    column: Option<Column>,
    column_s: f32,
    now_s: f64,
}

impl History {
    /// Takes the next report, a hop of `hop_s` seconds. Gives the sibilant that has ended with it, if one has.
    pub fn push(&mut self, report: &HopReport, hop_s: f32, settings: &SibilanceSettings) -> Option<Sibilant> {
        self.now_s += f64::from(hop_s);
        self.add_to_column(report, hop_s);
        if report.class == Class::Sibilant {
            let from_s = self.now_s - f64::from(hop_s);
            let sounding = self.sounding.get_or_insert_with(|| Sounding::from(from_s));
            sounding.add(report, self.now_s, settings);
            return None;
        }
        let ended = self.sounding.take()?.so_far;
        self.sibilants.push_back(ended);
        let oldest_s = self.now_s - f64::from(PAST_S) - 1.0;
        while self.sibilants.len() > TALLY * 4
            && self
                .sibilants
                .front()
                .is_some_and(|first| first.until_s < oldest_s)
        {
            self.sibilants.pop_front();
        }
        Some(ended)
    }

    fn add_to_column(&mut self, report: &HopReport, hop_s: f32) {
        let column = self.column.get_or_insert_with(|| Column::of(report));
        column.add(report);
        self.column_s += hop_s;
        if self.column_s >= COLUMN_S {
            self.column_s -= COLUMN_S;
            self.columns.extend(self.column.take());
            if self.columns.len() > COLUMNS {
                self.columns.pop_front();
            }
        }
    }

    /// The columns, oldest first; the last is now.
    pub fn columns(&self) -> impl DoubleEndedIterator<Item = &Column> + ExactSizeIterator {
        self.columns.iter()
    }

    /// The column of so long ago.
    pub fn column(&self, ago_s: f32) -> Option<&Column> {
        let ago = (ago_s / COLUMN_S).floor().max(0.0) as usize;
        self.columns.iter().rev().nth(ago)
    }

    /// The sibilants that the stream shows, oldest first, with how long ago each began and ended, seconds.
    pub fn sibilants(&self) -> impl Iterator<Item = (&Sibilant, f32, f32)> {
        let ago_s = |then_s: f64| (self.now_s - then_s) as f32;
        self.sibilants
            .iter()
            .chain(self.sounding.iter().map(|sounding| &sounding.so_far))
            .map(move |sibilant| (sibilant, ago_s(sibilant.from_s), ago_s(sibilant.until_s)))
            .filter(|(_, _, ended_s)| *ended_s < PAST_S)
    }

    /// The sibilant at so long ago, if one sounded then.
    pub fn sibilant(&self, ago_s: f32) -> Option<&Sibilant> {
        // Between two columns a pointer cannot aim better than this.
        let slack_s = COLUMN_S;
        self.sibilants()
            .find(|(_, from_s, until_s)| (*until_s - slack_s..=*from_s + slack_s).contains(&ago_s))
            .map(|(sibilant, ..)| sibilant)
    }

    /// The last sibilants that count, oldest first.
    pub fn counted(&self) -> Vec<Sibilant> {
        let mut counted: Vec<_> = self
            .sibilants
            .iter()
            .rev()
            .filter(|sibilant| sibilant.lasts_s() >= COUNTED_S)
            .take(TALLY)
            .copied()
            .collect();
        counted.reverse();
        counted
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOP_S: f32 = 0.001;

    fn report(class: Class) -> HopReport {
        HopReport {
            class,
            voice_lufs: -20.0,
            threshold_lufs: -26.0,
            sibilance_lufs: if class == Class::Sibilant { -20.0 } else { -120.0 },
            sibilance_gain_db: if class == Class::Sibilant { -5.0 } else { 0.0 },
            ..HopReport::default()
        }
    }

    fn sing(history: &mut History, class: Class, hops: usize) -> Vec<Sibilant> {
        let settings = SibilanceSettings::default();
        (0..hops)
            .filter_map(|_| history.push(&report(class), HOP_S, &settings))
            .collect()
    }

    #[test]
    fn a_sibilant_is_one_with_its_levels_as_it_came_and_as_it_left() {
        let mut history = History::default();
        sing(&mut history, Class::Voice, 500);
        assert!(sing(&mut history, Class::Sibilant, 120).is_empty());
        assert_eq!(history.sibilants().count(), 1, "it is seen while it sounds");
        let ended = sing(&mut history, Class::Voice, 300);
        let [sibilant] = ended[..] else {
            panic!("{ended:?}")
        };
        assert!((sibilant.lasts_s() - 0.12).abs() < 2e-3);
        assert!((sibilant.level_lufs + 20.0).abs() < 1e-3 && (sibilant.left_lufs + 25.0).abs() < 1e-3);
        // 6 LU over the threshold at 6 : 1.
        assert!(
            (sibilant.asked_lufs + 25.0).abs() < 0.4,
            "{}",
            sibilant.asked_lufs
        );
        assert_eq!(sibilant.gain_db, -5.0);
        let (_, from_s, until_s) = history.sibilants().next().unwrap();
        assert!(
            (from_s - 0.42).abs() < 5e-3 && (until_s - 0.3).abs() < 5e-3,
            "{from_s} {until_s}"
        );
        assert!(history.sibilant(0.35).is_some() && history.sibilant(0.8).is_none());
    }

    #[test]
    fn a_column_keeps_what_counts_most_and_time_runs_back_from_now() {
        let mut history = History::default();
        sing(&mut history, Class::Quiet, 1000);
        sing(&mut history, Class::Breath, 100);
        sing(&mut history, Class::Voice, 400);
        assert_eq!(history.column(0.2).unwrap().class, Class::Voice);
        assert_eq!(history.column(0.45).unwrap().class, Class::Breath);
        assert_eq!(history.column(0.8).unwrap().class, Class::Quiet);
        assert!(history.column(7.0).is_none());
    }

    #[test]
    fn the_past_is_bounded_and_the_tally_counts_the_last_twenty() {
        let mut history = History::default();
        for _ in 0..200 {
            sing(&mut history, Class::Voice, 50);
            sing(&mut history, Class::Sibilant, 30);
            sing(&mut history, Class::Voice, 50);
            sing(&mut history, Class::Sibilant, 5);
        }
        sing(&mut history, Class::Voice, 1);
        assert_eq!(history.columns().len(), COLUMNS);
        assert!(history.sibilants().count() <= (PAST_S / 0.06) as usize);
        let counted = history.counted();
        assert_eq!(counted.len(), TALLY);
        assert!(counted.iter().all(|sibilant| sibilant.lasts_s() > 0.025));
        assert!(
            history.sibilants.len() <= TALLY * 8,
            "{}",
            history.sibilants.len()
        );
    }
}
