//! Sibilants that are known whole before they are heard: where each begins and ends, and which are none.
//!
//! The classifier decides hop by hop from what it has heard. Here each of its sibilants is looked at from its first hop to its
//! last: short gaps are closed, the ends are moved to where the noise rises and falls, and what cannot be a sibilant for its
//! length and its neighbours is dropped.

use std::collections::VecDeque;
use std::ops::Range;

use crate::analysis::AnalysedHops;
use crate::clock::timing::Timing;
use crate::parameters::ParamSpec;
use crate::report::Class;

/// A shorter gap within a sibilant belongs to it.
const GAP_MS: f32 = 4.0;
/// How far a sibilant may begin before the classifier finds it, or end after it loses it.
const LONGEST_EDGE_MS: f32 = 24.0;
/// The edges lie where the treble passes this share (-10 dB) of its mean, and half of it (-3 dB) within a voice, whose own
/// treble is no edge. These and the times below were chosen on the real tuning voices.
const EDGE_SHARE: f32 = 0.1;
const EDGE_SHARE_IN_VOICE: f32 = 0.5;
/// A sibilant within a voice that is shorter than this is a pulse of it.
const PULSE_MS: f32 = 7.0;
/// A sibilant whose body is louder than that of the voice beside it by this power ratio (2 dB) is a bright vowel if it is
/// periodic, or the onset of one if it is short. With 0 dB a few sibilants of the real tuning voices are lost.
const VOICE_BODY: f32 = 1.5;
/// Mean periodicity above which it is a vowel, and the longest onset that is not periodic yet: a sibilant beside a soft end of a
/// word lasts longer. On the tuning voices 0.42 to 0.5 and 12 to 30 ms do the same.
const VOWEL_PERIODICITY: f32 = 0.45;
const LONGEST_ONSET_MS: f32 = 20.0;
/// How far beside a sibilant its voice is looked for.
const BESIDE_MS: f32 = 60.0;
/// Room for events that are found and not yet over: they lie within the longest attack and edge, with gaps between them.
const MOST_EVENTS: usize = 32;

/// One sibilant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct WholeEvent {
    pub start: i64,
    pub end: i64,
    /// True if its end is not known yet.
    is_open: bool,
}

impl WholeEvent {
    pub fn hops(&self) -> Range<i64> {
        self.start..self.end
    }

    /// Its hops from one on, or from its first one on, at most so many.
    pub fn coming(&self, hop: i64, most_hops: i64) -> Range<i64> {
        let first = hop.clamp(self.start, self.end - 1);
        first..self.end.min(first + most_hops)
    }
}

/// The sibilants that are about to be heard.
pub(crate) struct WholeEvents {
    scan_hops: i64,
    gap_hops: i64,
    edge_hops: i64,
    pulse_hops: i64,
    longest_onset_hops: i64,
    beside_hops: i64,
    events: VecDeque<WholeEvent>,
    /// Everything before this hop was looked at.
    seen: i64,
}

/// The longest attack that can be set.
fn longest_attack_ms() -> f32 {
    ParamSpec::of("sib_att").map_or(0.0, |spec| spec.max)
}

impl WholeEvents {
    pub fn new(timing: Timing) -> Self {
        let hops = |time_ms| timing.hops(time_ms) as i64;
        Self {
            scan_hops: hops(longest_attack_ms()) + hops(LONGEST_EDGE_MS),
            gap_hops: hops(GAP_MS),
            edge_hops: hops(LONGEST_EDGE_MS),
            pulse_hops: hops(PULSE_MS),
            longest_onset_hops: hops(LONGEST_ONSET_MS),
            beside_hops: hops(BESIDE_MS),
            events: VecDeque::with_capacity(MOST_EVENTS),
            seen: 0,
        }
    }

    pub fn reset(&mut self) {
        self.events.clear();
        self.seen = 0;
    }

    /// Looks as far ahead of the hop that is `heard` as the earliest reduction may begin.
    pub fn update_hop(&mut self, hops: &AnalysedHops, heard: i64) {
        if let Some(open) = self.events.back_mut().filter(|event| event.is_open) {
            let run = run_end(hops, open.end.max(heard), self.gap_hops);
            open.end = open.end.max(run.end);
            open.is_open = run.is_open;
            self.seen = self.seen.max(open.end);
        }
        while self.events.front().is_some_and(|event| event.end <= heard) {
            self.events.pop_front();
        }
        let until = (heard + self.scan_hops).min(hops.newest());
        while self.seen <= until {
            let hop = self.seen.max(0);
            self.seen = hop + 1;
            if hops.class(hop) == Class::Sibilant {
                self.look_at(hops, hop, heard);
            }
        }
    }

    /// Looks at the sibilant whose first hop this is.
    fn look_at(&mut self, hops: &AnalysedHops, first: i64, heard: i64) {
        let run = run_end(hops, first, self.gap_hops);
        self.seen = run.end;
        if !self.is_sibilant(hops, first..run.end, heard) || self.events.len() == MOST_EVENTS {
            return;
        }
        let mut event = WholeEvent {
            start: first,
            end: run.end,
            is_open: run.is_open,
        };
        self.move_edges(hops, &mut event, heard);
        self.seen = event.end.max(run.end);
        self.events.push_back(event);
    }

    /// Moves both ends to where the noise rises and falls.
    fn move_edges(&self, hops: &AnalysedHops, event: &mut WholeEvent, heard: i64) {
        let mean = mean_treble(hops, event.hops());
        let is_noise = |hop: i64, share: f32| hops.at(hop).treble > share * mean;
        let belongs = |hop: i64| {
            let in_voice = hops.class(hop) == Class::Voice;
            is_noise(hop, if in_voice { EDGE_SHARE_IN_VOICE } else { EDGE_SHARE })
        };
        let earliest = (event.start - self.edge_hops).max(self.events.back().map_or(heard, |last| last.end));
        let latest = (event.end + self.edge_hops).min(hops.newest() + 1);
        let (start, end) = (event.start, event.end);
        while event.start + 1 < end && !is_noise(event.start, EDGE_SHARE) {
            event.start += 1;
        }
        while event.start <= start && event.start > earliest && belongs(event.start - 1) {
            event.start -= 1;
        }
        if event.is_open {
            return;
        }
        while event.end > event.start + 1 && !is_noise(event.end - 1, EDGE_SHARE) {
            event.end -= 1;
        }
        while event.end >= end && event.end < latest && belongs(event.end) {
            event.end += 1;
        }
    }

    fn is_sibilant(&self, hops: &AnalysedHops, run: Range<i64>, heard: i64) -> bool {
        let oldest = (run.start - self.beside_hops).max(heard);
        let newest = (run.end + self.beside_hops).min(hops.newest() + 1);
        let voice = voiced_body(hops, oldest..run.start).max(voiced_body(hops, run.end..newest));
        let is_within_voice = |hop: i64| hop >= oldest && hop < newest && hops.class(hop) == Class::Voice;
        let is_pulse = run.end - run.start < self.pulse_hops
            && is_within_voice(run.start - 1)
            && is_within_voice(run.end);
        let is_vowel = voice > 0.0 && self.is_vowel(hops, run, voice);
        !is_pulse && !is_vowel
    }

    /// True of a run whose body is louder than that of the `voice` beside it, where that is no accident.
    fn is_vowel(&self, hops: &AnalysedHops, run: Range<i64>, voice: f32) -> bool {
        let is_short = run.end - run.start <= self.longest_onset_hops;
        (is_short || mean_periodicity(hops, run.clone()) > VOWEL_PERIODICITY)
            && mean_body(hops, run) > VOICE_BODY * voice
    }

    /// The sibilant that is reduced while `heard` is heard, or `lead_hops` later.
    pub fn active(&self, heard: i64, lead_hops: i64) -> Option<&WholeEvent> {
        let event = self.events.front()?;
        (event.start <= heard + lead_hops).then_some(event)
    }
}

struct RunEnd {
    end: i64,
    is_open: bool,
}

/// The end of the sibilant that `first` belongs to.
fn run_end(hops: &AnalysedHops, first: i64, gap_hops: i64) -> RunEnd {
    let (mut end, mut hop) = (first, first);
    while hop <= hops.newest() && hop < end + gap_hops {
        hop += 1;
        if hops.class(hop - 1) == Class::Sibilant {
            end = hop;
        }
    }
    RunEnd {
        end,
        is_open: hop > hops.newest(),
    }
}

fn mean(hops: Range<i64>, power: impl Fn(i64) -> Option<f32>) -> f32 {
    let (sum, count) = hops
        .filter_map(power)
        .fold((0.0, 0.0), |(sum, count), power| (sum + power, count + 1.0));
    if count == 0.0 { 0.0 } else { sum / count }
}

fn mean_treble(hops: &AnalysedHops, run: Range<i64>) -> f32 {
    mean(run, |hop| Some(hops.at(hop).treble))
}

fn mean_periodicity(hops: &AnalysedHops, run: Range<i64>) -> f32 {
    mean(run, |hop| Some(hops.at(hop).periodicity))
}

fn mean_body(hops: &AnalysedHops, run: Range<i64>) -> f32 {
    mean(run, |hop| Some(hops.at(hop).body))
}

/// Mean body of the voiced hops; 0 if there are none.
fn voiced_body(hops: &AnalysedHops, beside: Range<i64>) -> f32 {
    mean(beside, |hop| {
        (hops.class(hop) == Class::Voice).then(|| hops.at(hop).body)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::{AnalysedHop, Spectrum};
    use crate::report::HopReport;

    /// A class, the powers above 4 kHz and below 2 kHz, and so many hops.
    type Part = (Class, f64, f64, usize);
    const VOICE: Class = Class::Voice;
    const SIBILANT: Class = Class::Sibilant;
    const QUIET: Class = Class::Quiet;

    /// The hops of each sibilant that is heard; what has more power below 2 kHz than above 4 kHz is periodic.
    fn heard(parts: &[Part]) -> Vec<Range<i64>> {
        let timing = Timing::new(48_000.0);
        let (mut hops, mut events) = (AnalysedHops::new(timing, 256), WholeEvents::new(timing));
        let ahead_hops = 221;
        let silence = (QUIET, 0.0, 0.0, ahead_hops + 1);
        let mut found: Vec<Range<i64>> = Vec::new();
        for &(class, treble, body, count) in parts.iter().chain([&silence]) {
            let spectrum = Spectrum::of_two_bands(200.0..1900.0, body, 4500.0..9000.0, treble);
            for _ in 0..count {
                let hop = AnalysedHop {
                    report: HopReport {
                        class,
                        ..HopReport::default()
                    },
                    periodicity: if body > treble { 0.9 } else { 0.2 },
                    power_gain: 1.0,
                    ..AnalysedHop::default()
                };
                hops.push(hop, &spectrum);
                let heard = hops.newest() - ahead_hops as i64;
                events.update_hop(&hops, heard);
                if let Some(event) = events.active(heard, 0) {
                    match found.last_mut() {
                        Some(last) if last.start == event.start => last.end = event.end,
                        _ => found.push(event.hops()),
                    }
                }
            }
        }
        found
    }

    #[test]
    fn a_sibilant_begins_where_its_noise_rises_and_ends_where_it_falls() {
        let found = heard(&[
            (VOICE, 0.01, 1.0, 100),
            (VOICE, 0.8, 0.5, 6),
            (SIBILANT, 1.0, 0.01, 60),
            (QUIET, 0.0, 0.0, 2),
            (SIBILANT, 1.0, 0.01, 30),
            (VOICE, 0.3, 0.5, 8),
            (VOICE, 0.01, 1.0, 100),
        ]);
        assert_eq!(found, vec![100..198]);
        let late = heard(&[
            (VOICE, 0.01, 1.0, 100),
            (SIBILANT, 0.05, 0.3, 10),
            (SIBILANT, 1.0, 0.01, 40),
        ]);
        assert_eq!(late, vec![110..150], "soft hops at its start are the vowel's");
    }

    #[test]
    fn a_pulse_within_a_vowel_and_a_bright_vowel_are_none() {
        let voice = (VOICE, 0.01, 1.0, 100);
        assert!(heard(&[voice, (SIBILANT, 1.0, 0.3, 3), voice]).is_empty());
        assert!(heard(&[voice, (SIBILANT, 1.0, 2.0, 60), voice]).is_empty());
        assert_eq!(
            heard(&[(QUIET, 0.0, 0.0, 50), (SIBILANT, 1.0, 0.3, 3), voice]).len(),
            1
        );
    }

    #[test]
    fn a_sibilant_beside_a_soft_end_of_a_word_is_one() {
        let soft = (VOICE, 0.01, 0.1, 100);
        assert_eq!(heard(&[soft, (SIBILANT, 1.0, 0.3, 60), soft]).len(), 1);
        assert!(
            heard(&[soft, (SIBILANT, 1.0, 0.3, 10), soft]).is_empty(),
            "an onset"
        );
    }

    #[test]
    fn a_sibilant_longer_than_the_lookahead_is_followed_to_its_end() {
        let found = heard(&[
            (VOICE, 0.01, 1.0, 50),
            (SIBILANT, 1.0, 0.01, 700),
            (VOICE, 0.01, 1.0, 50),
        ]);
        assert_eq!(found, vec![50..750]);
    }
}
