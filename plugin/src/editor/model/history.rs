//! The last seconds as plain data: a column every sixtieth of a second, every sibilant and every breath.

use std::collections::VecDeque;

use siskin_dsp::{Class, HopReport, SibilanceSettings};
use siskin_editor_layout::{PAST_S, TALLY};

pub use super::breath::Breath;
use super::breath::BreathInProgress;
pub use super::column::Column;
pub use super::sibilant::Sibilant;
use super::sibilant::SibilantInProgress;

/// Columns of the history.
pub const COLUMNS: usize = 480;
/// Duration of a column, seconds.
const COLUMN_S: f32 = PAST_S / COLUMNS as f32;
/// Shorter sibilants are drawn but not counted: the burst of a t is too short for a proportion.
const COUNTED_S: f32 = 0.02;

/// The last seconds, oldest first.
#[derive(Debug, Clone, Default)]
pub struct History {
    columns: VecDeque<Column>,
    sibilants: VecDeque<Sibilant>,
    current: Option<SibilantInProgress>,
    breaths: VecDeque<Breath>,
    current_breath: Option<BreathInProgress>,
    column: Option<Column>,
    column_s: f32,
    now_s: f64,
}

impl History {
    /// Adds a report of a hop of `hop_s` seconds; returns the sibilant that ended with it, if any.
    pub fn push(&mut self, report: &HopReport, hop_s: f32, settings: &SibilanceSettings) -> Option<Sibilant> {
        self.now_s += f64::from(hop_s);
        self.add_to_column(report, hop_s);
        self.add_to_breath(report, hop_s);
        if report.class == Class::Sibilant {
            let from_s = self.now_s - f64::from(hop_s);
            let current = self
                .current
                .get_or_insert_with(|| SibilantInProgress::starting_at(from_s));
            current.add(report, self.now_s, settings);
            return None;
        }
        let ended = self.current.take()?.so_far;
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

    fn add_to_breath(&mut self, report: &HopReport, hop_s: f32) {
        if report.is_breath {
            let from_s = self.now_s - f64::from(hop_s);
            self.current_breath
                .get_or_insert_with(|| BreathInProgress::starting_at(from_s))
                .add(report, self.now_s);
        } else if let Some(ended) = self.current_breath.take() {
            self.breaths.push_back(ended.so_far);
            let oldest_s = self.now_s - f64::from(PAST_S);
            while self.breaths.front().is_some_and(|first| first.until_s < oldest_s) {
                self.breaths.pop_front();
            }
        }
    }

    fn add_to_column(&mut self, report: &HopReport, hop_s: f32) {
        let column = self.column.get_or_insert_with(|| Column::new(report));
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

    /// The columns, oldest first.
    pub fn columns(&self) -> impl DoubleEndedIterator<Item = &Column> + ExactSizeIterator {
        self.columns.iter()
    }

    /// The column `ago_s` seconds ago.
    pub fn column(&self, ago_s: f32) -> Option<&Column> {
        let ago = (ago_s / COLUMN_S).floor().max(0.0) as usize;
        self.columns.iter().rev().nth(ago)
    }

    /// How long ago a time was, seconds.
    fn ago_s(&self, then_s: f64) -> f32 {
        (self.now_s - then_s) as f32
    }

    /// The sibilants of the timeline, oldest first, with how long ago each began and ended, seconds.
    pub fn sibilants(&self) -> impl Iterator<Item = (&Sibilant, f32, f32)> {
        self.sibilants
            .iter()
            .chain(self.current.iter().map(|current| &current.so_far))
            .map(|sibilant| {
                (
                    sibilant,
                    self.ago_s(sibilant.from_s),
                    self.ago_s(sibilant.until_s),
                )
            })
            .filter(|(_, _, ended_s)| *ended_s < PAST_S)
    }

    /// The breaths of the timeline, oldest first, with how long ago each began and ended, seconds.
    pub fn breaths(&self) -> impl Iterator<Item = (&Breath, f32, f32)> {
        self.breaths
            .iter()
            .chain(self.current_breath.iter().map(|current| &current.so_far))
            .map(|breath| (breath, self.ago_s(breath.from_s), self.ago_s(breath.until_s)))
            .filter(|(_, _, ended_s)| *ended_s < PAST_S)
    }

    /// The sibilant `ago_s` seconds ago, if any.
    pub fn sibilant(&self, ago_s: f32) -> Option<&Sibilant> {
        at(self.sibilants(), ago_s)
    }

    /// The breath `ago_s` seconds ago, if any.
    pub fn breath(&self, ago_s: f32) -> Option<&Breath> {
        at(self.breaths(), ago_s)
    }

    /// When the current or the last sibilant began, seconds since the window opened.
    pub fn last_sibilant_from_s(&self) -> Option<f64> {
        let current = self.current.as_ref().map(|current| &current.so_far);
        Some(current.or(self.sibilants.back())?.from_s)
    }

    /// The last sibilants for the tally, oldest first.
    pub fn counted(&self) -> Vec<Sibilant> {
        let mut counted: Vec<_> = self
            .sibilants
            .iter()
            .rev()
            .filter(|sibilant| sibilant.duration_s() >= COUNTED_S)
            .take(TALLY)
            .copied()
            .collect();
        counted.reverse();
        counted
    }
}

/// The first of `sounds` that was there `ago_s` seconds ago; each comes with how long ago it began and ended.
fn at<T>(mut sounds: impl Iterator<Item = (T, f32, f32)>, ago_s: f32) -> Option<T> {
    // A pointer cannot aim better than a column.
    let tolerance_s = COLUMN_S;
    sounds
        .find(|(_, from_s, until_s)| (*until_s - tolerance_s..=*from_s + tolerance_s).contains(&ago_s))
        .map(|(sound, ..)| sound)
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

    fn play(history: &mut History, class: Class, hops: usize) -> Vec<Sibilant> {
        let settings = SibilanceSettings::default();
        (0..hops)
            .filter_map(|_| history.push(&report(class), HOP_S, &settings))
            .collect()
    }

    #[test]
    fn a_sibilant_has_input_output_and_target_levels() {
        let mut history = History::default();
        play(&mut history, Class::Voice, 500);
        assert!(play(&mut history, Class::Sibilant, 120).is_empty());
        assert_eq!(history.sibilants().count(), 1, "it is visible while it sounds");
        let ended = play(&mut history, Class::Voice, 300);
        let [sibilant] = ended[..] else {
            panic!("{ended:?}")
        };
        assert!((sibilant.duration_s() - 0.12).abs() < 2e-3);
        assert!((sibilant.level_lufs + 20.0).abs() < 1e-3 && (sibilant.output_lufs + 25.0).abs() < 1e-3);
        // 6 LU above the threshold at 6 : 1.
        assert!(
            (sibilant.target_lufs + 25.0).abs() < 0.4,
            "{}",
            sibilant.target_lufs
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
    fn a_breath_has_its_level_and_what_is_left_of_it() {
        let mut history = History::default();
        let settings = SibilanceSettings::default();
        let mut play = |gain_db: Option<f32>, hops: usize| {
            let report = HopReport {
                level_lufs: -40.0,
                is_breath: gain_db.is_some(),
                breath_gain_db: gain_db.unwrap_or(0.0),
                ..report(Class::Breath)
            };
            for _ in 0..hops {
                history.push(&report, HOP_S, &settings);
            }
        };
        // A breath is confirmed only after a while.
        play(None, 50);
        play(Some(-6.0), 300);
        play(None, 200);
        let (breath, from_s, until_s) = history.breaths().next().unwrap();
        assert!((from_s - 0.5).abs() < 5e-3 && (until_s - 0.2).abs() < 5e-3);
        assert!((breath.level_lufs + 40.0).abs() < 1e-3 && (breath.output_lufs + 46.0).abs() < 1e-3);
        assert!(history.breath(0.35).is_some() && history.breath(0.53).is_none());
        assert!(history.column(0.3).unwrap().is_breath && !history.column(0.53).unwrap().is_breath);
    }

    #[test]
    fn a_column_keeps_the_most_important_class() {
        let mut history = History::default();
        play(&mut history, Class::Quiet, 1000);
        play(&mut history, Class::Breath, 100);
        play(&mut history, Class::Voice, 400);
        assert_eq!(history.column(0.2).unwrap().class, Class::Voice);
        assert_eq!(history.column(0.45).unwrap().class, Class::Breath);
        assert_eq!(history.column(0.8).unwrap().class, Class::Quiet);
        assert!(history.column(7.0).is_none());
    }

    #[test]
    fn the_history_is_bounded_and_the_tally_counts_the_last_twenty() {
        let mut history = History::default();
        for _ in 0..200 {
            play(&mut history, Class::Voice, 50);
            play(&mut history, Class::Sibilant, 30);
            play(&mut history, Class::Voice, 50);
            play(&mut history, Class::Sibilant, 5);
        }
        play(&mut history, Class::Voice, 1);
        assert_eq!(history.columns().len(), COLUMNS);
        assert!(history.sibilants().count() <= (PAST_S / 0.06) as usize);
        let counted = history.counted();
        assert_eq!(counted.len(), TALLY);
        assert!(counted.iter().all(|sibilant| sibilant.duration_s() > 0.025));
        assert!(
            history.sibilants.len() <= TALLY * 8,
            "{}",
            history.sibilants.len()
        );
    }
}
