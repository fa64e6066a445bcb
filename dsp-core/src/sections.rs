//! The sections of a song, found from the level of the voice and its rests. Not for the audio thread: it allocates.
//!
//! A new section begins
//!
//! - after a **rest**: two seconds or more without voice;
//! - at a **lasting change**: where the mean level of the eight seconds of singing before and of the eight after differ by
//!   more than 4 LU. Near a rest five seconds are enough. Of several such places close to one another the one with the
//!   largest difference counts, then what is left on its sides.
//!
//! Singers change at a breath: a change moves to the pause of half a second or more, within four seconds of singing, where
//! the difference is largest and no less than 70 % of what it was. A section begins in the middle of the pause before it, and
//! half a second before its first voice at most: a breath or a first s belongs to it.
//!
//! The constants were chosen on the singer's song with seeds that no test uses.

mod voice_cell;

use crate::primitives::decibels::{lufs_from_power, power_from_lufs};
use crate::report::HopReport;
pub use voice_cell::VoiceCell;

/// Length of a cell, s: shorter than a syllable.
pub const VOICE_CELL_S: f32 = 0.1;
/// A pause of this length is a rest, s.
const REST_S: f32 = 2.0;
/// A change of more than this begins a section, LU.
const CHANGE_LU: f64 = 4.0;
/// Singing that is compared on each side of a change, s, and the least that a rest leaves of it: longer than a line's first
/// word, shorter than half a verse.
const COMPARED_S: f32 = 8.0;
const LEAST_COMPARED_S: f32 = 5.0;
/// A change moves to a pause of this length, no further away than this, s of singing, with this share of the difference.
const PAUSE_S: f32 = 0.5;
const PAUSE_WITHIN_S: f32 = 4.0;
const PAUSE_SHARE: f64 = 0.7;
/// A cell has a voice where this share of its hops has one.
const VOICED_SHARE: f64 = 0.5;
/// What belongs to a section before its first and after its last voice, s: a breath lasts about as long.
const AROUND_S: f32 = 0.5;

/// A section of a song.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SongSection {
    /// Where it begins, s.
    pub start_s: f32,
    /// Where it ends, s.
    pub end_s: f32,
    /// Mean power of its voice, LUFS.
    pub voice_lufs: f32,
}

/// Collects the level of the voice over a song.
#[derive(Debug, Clone, Default)]
pub struct VoiceLevels {
    /// LUFS; minus infinity where no voice is.
    cells: Vec<f32>,
    time_s: f64,
    cell: VoiceCell,
}

impl VoiceLevels {
    /// Adds the report of a hop of `hop_s` seconds; hops come in the order of the song.
    pub fn add(&mut self, report: &HopReport, hop_s: f32) {
        self.cell.add(report);
        self.time_s += f64::from(hop_s);
        if self.time_s >= f64::from(VOICE_CELL_S) * (self.cells.len() + 1) as f64 {
            self.cells.push(std::mem::take(&mut self.cell).voice_lufs());
        }
    }

    /// The sections so far, in order.
    #[must_use]
    pub fn sections(&self) -> Vec<SongSection> {
        find_sections(&self.cells, VOICE_CELL_S)
    }
}

/// The sections of a song, in order, from the level of its voice in cells of `cell_s` seconds, LUFS; minus infinity, or NaN,
/// where no voice is.
#[must_use]
pub fn find_sections(cells_lufs: &[f32], cell_s: f32) -> Vec<SongSection> {
    let sung: Vec<Sung> = cells_lufs
        .iter()
        .enumerate()
        .filter(|(_, level)| level.is_finite())
        .map(|(cell, &lufs)| Sung { cell, lufs })
        .collect();
    let rest_cells = cells(REST_S, cell_s);
    let stretches = sung.chunk_by(|a, b| b.cell - a.cell <= rest_cells);
    let finder = Finder::new(cell_s);
    let parts: Vec<&[Sung]> = stretches.flat_map(|stretch| finder.parts(stretch)).collect();
    let end_s = cells_lufs.len() as f32 * cell_s;
    sections(&parts, cell_s, end_s)
}

/// The section that a time lies in, from 1; between two sections the one that ended; 0 where there is none.
#[must_use]
pub fn section_of(sections: &[SongSection], seconds: f32) -> usize {
    let begun = sections.partition_point(|section| section.start_s <= seconds);
    begun.max(1).min(sections.len())
}

/// A cell with a voice.
#[derive(Debug, Clone, Copy)]
struct Sung {
    cell: usize,
    lufs: f32,
}

/// Finds changes in a stretch without a rest. Lengths are in cells.
struct Finder {
    compared: usize,
    least_compared: usize,
    pause: usize,
    pause_within: usize,
}

impl Finder {
    fn new(cell_s: f32) -> Self {
        let [compared, least_compared, pause, pause_within] =
            [COMPARED_S, LEAST_COMPARED_S, PAUSE_S, PAUSE_WITHIN_S]
                .map(|seconds| cells(seconds, cell_s).max(1));
        Self {
            compared,
            least_compared,
            pause,
            pause_within,
        }
    }

    /// The stretch in parts, cut at its changes.
    fn parts<'a>(&self, stretch: &'a [Sung]) -> Vec<&'a [Sung]> {
        let (mut parts, mut whole) = (Vec::new(), vec![stretch]);
        while let Some(part) = whole.pop() {
            match self.change(part) {
                Some(at) => {
                    let (before, after) = part.split_at(at);
                    whole.extend([after, before]);
                }
                None => parts.push(part),
            }
        }
        parts
    }

    /// Where the largest lasting change of a part is: its first cell behind it.
    fn change(&self, part: &[Sung]) -> Option<usize> {
        let mut sums = vec![0.0];
        sums.extend(part.iter().scan(0.0, |sum, sung| {
            *sum += f64::from(sung.lufs);
            Some(*sum)
        }));
        let mean = |from: usize, to: usize| (sums[to] - sums[from]) / (to - from) as f64;
        let difference_lu = |at: usize| {
            let before = mean(at.saturating_sub(self.compared), at);
            let after = mean(at, (at + self.compared).min(part.len()));
            (after - before).abs()
        };
        let last = part.len().checked_sub(self.least_compared)?;
        let places = self.least_compared..=last;
        let largest = |places: &mut dyn Iterator<Item = usize>| {
            let differences = places.map(|at| (at, difference_lu(at)));
            differences.max_by(|a, b| a.1.total_cmp(&b.1))
        };
        let (at, most_lu) = largest(&mut places.clone())?;
        let is_pause = |&place: &usize| part[place].cell - part[place - 1].cell > self.pause;
        let is_near = |place: &usize| place.abs_diff(at) <= self.pause_within;
        let pause = largest(&mut places.filter(is_near).filter(is_pause));
        let pause = pause.filter(|(_, difference_lu)| *difference_lu >= PAUSE_SHARE * most_lu);
        (most_lu > CHANGE_LU).then_some(pause.map_or(at, |(pause, _)| pause))
    }
}

/// The times and levels of parts.
fn sections(parts: &[&[Sung]], cell_s: f32, end_s: f32) -> Vec<SongSection> {
    let begins_s = |part: &[Sung]| part.first().map_or(0, |sung| sung.cell) as f32 * cell_s;
    let ends_s = |part: &[Sung]| part.last().map_or(0, |sung| sung.cell + 1) as f32 * cell_s;
    let section = |index: usize, part: &[Sung]| {
        let before_s = index.checked_sub(1).map_or(0.0, |before| ends_s(parts[before]));
        let after_s = parts.get(index + 1).map_or(end_s, |after| begins_s(after));
        let (first_s, last_s) = (begins_s(part), ends_s(part));
        // The song's ends are no pauses between two sections.
        let half = |pause_s: f32, is_inner: bool| if is_inner { pause_s / 2.0 } else { pause_s };
        let lead_s = half(first_s - before_s, index > 0).min(AROUND_S);
        let tail_s = half(after_s - last_s, index + 1 < parts.len()).min(AROUND_S);
        let powers = part.iter().map(|sung| power_from_lufs(sung.lufs));
        SongSection {
            start_s: first_s - lead_s,
            end_s: last_s + tail_s,
            voice_lufs: lufs_from_power(powers.sum::<f64>() / part.len().max(1) as f64),
        }
    };
    parts
        .iter()
        .enumerate()
        .map(|(index, part)| section(index, part))
        .collect()
}

fn cells(seconds: f32, cell_s: f32) -> usize {
    (seconds / cell_s).round() as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::Class;

    const NONE: f32 = f32::NEG_INFINITY;

    /// Lines of 2 s with pauses of 0.6 s: so many lines at each level.
    fn song(parts: &[(usize, f32)]) -> Vec<f32> {
        let line = |lufs: f32| [vec![lufs; 20], vec![NONE; 6]].concat();
        parts
            .iter()
            .flat_map(|&(lines, lufs)| line(lufs).repeat(lines))
            .collect()
    }

    /// Where the sections begin, tenths of a second.
    fn starts(cells: &[f32]) -> Vec<i32> {
        let tenths = |section: &SongSection| (10.0 * section.start_s).round() as i32;
        find_sections(cells, VOICE_CELL_S).iter().map(tenths).collect()
    }

    #[test]
    fn lasting_changes_begin_sections_and_small_or_short_ones_do_not() {
        let loud = song(&[(5, -30.0), (5, -25.5), (5, -30.0)]);
        assert_eq!(starts(&loud), [0, 127, 257]);
        assert_eq!(starts(&song(&[(5, -30.0), (5, -26.5)])), [0]);
        // One loud line does not lift the mean of eight seconds by 4 LU.
        assert_eq!(starts(&song(&[(5, -30.0), (1, -22.0), (5, -30.0)])), [0]);
        let sections = find_sections(&loud, VOICE_CELL_S);
        assert!((sections[1].voice_lufs + 25.5).abs() < 0.01);
        assert!((sections[0].end_s - sections[1].start_s).abs() < 1e-3);
    }

    #[test]
    fn rests_of_two_seconds_begin_sections_and_shorter_ones_do_not() {
        let with_rest = |cells: usize| [vec![-20.0; 30], vec![NONE; cells], vec![-20.0; 30]].concat();
        assert_eq!(starts(&with_rest(19)), [0]);
        let sections = find_sections(&with_rest(20), VOICE_CELL_S);
        let times: Vec<[f32; 2]> = sections
            .iter()
            .map(|section| [section.start_s, section.end_s])
            .collect();
        assert_eq!(times, [[0.0, 3.5], [4.5, 8.0]]);
        assert_eq!(starts(&[NONE; 50]), [0; 0]);
        assert_eq!(starts(&[]), [0; 0]);
    }

    #[test]
    fn voiced_hops_become_cells() {
        let mut levels = VoiceLevels::default();
        for hop in 0..4000 {
            let class = if hop < 1000 { Class::Quiet } else { Class::Voice };
            let report = HopReport {
                class,
                level_lufs: -20.0,
                ..HopReport::default()
            };
            levels.add(&report, 0.002);
        }
        let [section] = levels.sections()[..] else {
            panic!("one section")
        };
        assert!((section.start_s - 1.5).abs() < 1e-3 && (section.end_s - 8.0).abs() < 1e-3);
        assert!((section.voice_lufs + 20.0).abs() < 1e-3);
    }
}
