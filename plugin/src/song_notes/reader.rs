//! The side of the editor: reads what is noted at any time, and asks for a clear.

use std::sync::Arc;
use std::sync::atomic::Ordering::{Acquire, Relaxed, Release};

use siskin_dsp::VOICE_CELL_S;

use super::packed::unpack_cell;
use super::{
    Bar, CELL_TICKS, NO_PAGE, NO_POSITION, NoteChanges, NoteTiming, NotedSibilant, PAGE_CELLS, PAGE_TICKS,
    PAGES, Shared, TICKS_PER_S, page_of,
};

/// Reads the notes.
#[derive(Clone)]
pub struct NotesReader {
    shared: Arc<Shared>,
}

/// A tenth of a second of the song.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NotedCell {
    /// Level of the voice, LUFS; minus infinity where there is none.
    pub voice_lufs: f32,
    /// The adaptive threshold, LUFS.
    pub threshold_lufs: f32,
}

/// The notes at one time.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SongSnapshot {
    /// What positions count.
    pub timing: NoteTiming,
    /// Where the first cell begins, seconds.
    pub start_s: f64,
    /// From the first to the last that was played; `None` where nothing was played.
    pub cells: Vec<Option<NotedCell>>,
    /// In the order of the song.
    pub sibilants: Vec<NotedSibilant>,
    /// Where the song is, or was last, seconds.
    pub position_s: Option<f64>,
    /// The bar at the start of each page that has one, with its position in seconds, in the order of the song.
    pub bars: Vec<(f64, Bar)>,
}

impl SongSnapshot {
    /// Where the last cell ends, seconds.
    pub fn end_s(&self) -> f64 {
        self.start_s + self.cells.len() as f64 * f64::from(VOICE_CELL_S)
    }

    /// The bar at a position, where the host told tempo and metre there, with the quarter notes since it began.
    pub fn bar(&self, position_s: f64) -> Option<Bar> {
        let after = self.bars.partition_point(|(start_s, _)| *start_s <= position_s);
        let (start_s, bar) = self.bars.get(after.checked_sub(1)?)?;
        let into_page_s = position_s - start_s;
        (into_page_s < seconds(PAGE_TICKS)).then(|| bar.moved(into_page_s))
    }
}

impl NotesReader {
    pub(super) fn new(shared: Arc<Shared>) -> Self {
        Self { shared }
    }

    /// A way to ask whether anything new was noted.
    pub fn changes(&self) -> NoteChanges {
        NoteChanges(self.shared.clone())
    }

    /// Asks for a clear. It is seen at once, and done when the next block is played.
    pub fn clear(&self) {
        self.shared.clears_asked.fetch_add(1, Release);
        self.shared.changes.fetch_add(1, Release);
    }

    /// What is noted now, around the position: as much as the ring can hold on either side.
    pub fn snapshot(&self) -> SongSnapshot {
        let shared = &self.shared;
        if shared.clears_asked.load(Acquire) != shared.clears_done.load(Acquire) {
            return SongSnapshot::default();
        }
        let position = Some(shared.position.load(Relaxed)).filter(|tick| *tick != NO_POSITION);
        let mut tags: Vec<i32> = (0..PAGES).filter_map(|slot| self.tag(slot)).collect();
        tags.sort_unstable();
        let near = position.and_then(page_of).or(tags.last().copied()).unwrap_or(0);
        tags.retain(|page| page.abs_diff(near) < PAGES as u32);
        let (Some(&first), Some(&last)) = (tags.first(), tags.last()) else {
            return SongSnapshot {
                timing: NoteTiming::of(shared.timing.load(Relaxed)),
                ..SongSnapshot::default()
            };
        };
        let cells = self.cells(first, last);
        // From the first cell that was played to the last.
        let unplayed = cells.iter().take_while(|cell| cell.is_none()).count();
        let played = cells
            .iter()
            .rposition(Option::is_some)
            .map_or(unplayed, |cell| cell + 1);
        SongSnapshot {
            timing: NoteTiming::of(shared.timing.load(Relaxed)),
            start_s: seconds(i64::from(first) * PAGE_TICKS + unplayed as i64 * CELL_TICKS),
            cells: cells[unplayed.min(played)..played].to_vec(),
            sibilants: self.sibilants(first..=last),
            position_s: position.map(seconds),
            bars: tags.iter().filter_map(|page| self.bar(*page)).collect(),
        }
    }

    fn tag(&self, slot: usize) -> Option<i32> {
        let page = self.shared.pages.get(slot)?;
        Some(page.tag.load(Acquire)).filter(|tag| *tag != NO_PAGE)
    }

    /// The cells from the first page to the last one.
    fn cells(&self, first: i32, last: i32) -> Vec<Option<NotedCell>> {
        let page = |page: i32| {
            let slot = super::slot_of(page);
            let is_held = self.tag(slot) == Some(page);
            (0..PAGE_CELLS).map(move |cell| {
                let word = self.shared.pages[slot].cells[cell].load(Relaxed);
                let (voice_lufs, threshold_lufs) = unpack_cell(word).filter(|_| is_held)?;
                Some(NotedCell {
                    voice_lufs,
                    threshold_lufs,
                })
            })
        };
        (first..=last).flat_map(page).collect()
    }

    fn sibilants(&self, pages: std::ops::RangeInclusive<i32>) -> Vec<NotedSibilant> {
        let words = self.shared.sibilants.iter().map(|word| word.load(Relaxed));
        let page = |slot: usize| self.tag(slot).filter(|page| pages.contains(page));
        let mut sibilants: Vec<NotedSibilant> = words
            .filter_map(|word| NotedSibilant::unpack(word, page))
            .collect();
        sibilants.sort_by(|one, other| one.start_s.total_cmp(&other.start_s));
        sibilants
    }

    fn bar(&self, page: i32) -> Option<(f64, Bar)> {
        let word = self.shared.pages[super::slot_of(page)].bar.load(Relaxed);
        Some((seconds(i64::from(page) * PAGE_TICKS), Bar::unpack(word)?))
    }
}

fn seconds(ticks: i64) -> f64 {
    ticks as f64 / TICKS_PER_S as f64
}
