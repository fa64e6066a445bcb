//! Notes of a whole song, by song position: voice level, threshold, every sibilant, bars. The audio thread writes them whether
//! the window is open or not; the editor reads them at any time. Neither waits, and nothing of them influences the sound.
//!
//! The arrays are a ring of pages of two seconds: any 25 minutes in a row fit, wherever the song starts, and what lies 25
//! minutes further on takes the place of what stood there. What is played again replaces what was noted before, hop by hop. A
//! word of an array holds one whole fact, so that no read finds half of one.
//!
//! A host that tells no position gets notes by the time since playback began. Notes are not saved with the song.

mod packed;
mod place;
mod reader;
mod sibilants;
#[cfg(test)]
mod tests;
mod writer;

use std::sync::Arc;
use std::sync::atomic::{AtomicI32, AtomicI64, AtomicU8, AtomicU16, AtomicU32, AtomicU64, Ordering};

pub use packed::{Bar, NotedSibilant};
pub use place::HostPlace;
pub use reader::{NotedCell, NotesReader, SongSnapshot};
pub use writer::NotesWriter;

/// Song time is counted in ticks: shorter than a hop at every rate, so that no two hops share one.
const TICKS_PER_S: i64 = 2000;
/// Ticks in a cell: as long as those that sections are found from.
const CELL_TICKS: i64 = 200;
/// Cells in a page.
const PAGE_CELLS: usize = 20;
const PAGE_TICKS: i64 = CELL_TICKS * PAGE_CELLS as i64;
/// Pages in the ring: 25 minutes.
const PAGES: usize = 750;
/// Sibilants that are noted at most: more than three a second for all of the time.
const SIBILANTS: usize = 5000;
/// The tag of a page that holds nothing, and the position before anything is played.
const NO_PAGE: i32 = i32::MIN;
const NO_POSITION: i64 = i64::MIN;

/// Two seconds of the song.
struct Page {
    /// Which page of the song it is.
    tag: AtomicI32,
    /// The bar at its start.
    bar: AtomicU64,
    /// Voice level and threshold.
    cells: [AtomicU16; PAGE_CELLS],
}

/// What both threads share.
struct Shared {
    pages: Box<[Page]>,
    sibilants: Box<[AtomicU64]>,
    /// Where the song is, ticks.
    position: AtomicI64,
    timing: AtomicU8,
    /// How often a clear was asked for, and done.
    clears_asked: AtomicU32,
    clears_done: AtomicU32,
    /// Counts what shows.
    changes: AtomicU32,
}

/// All that is held for the notes of one insert, bytes: the arrays, and the chains of the writer.
const HELD_BYTES: usize = PAGES * size_of::<Page>()
    + SIBILANTS * size_of::<AtomicU64>()
    + (PAGES + SIBILANTS) * size_of::<u16>()
    + size_of::<Shared>()
    + size_of::<NotesWriter>();
const _: () = assert!(HELD_BYTES <= 96 * 1024, "notes take more than they may");

/// What positions count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[repr(u8)]
pub enum NoteTiming {
    /// Nothing was played yet.
    #[default]
    None = 0,
    /// The host's song.
    Song = 1,
    /// The time since playback began: the host tells no position.
    SincePlayback = 2,
}

impl NoteTiming {
    fn of(code: u8) -> Self {
        [Self::None, Self::Song, Self::SincePlayback]
            .into_iter()
            .find(|timing| *timing as u8 == code)
            .unwrap_or_default()
    }
}

/// Tells whether anything new was noted.
#[derive(Clone)]
pub struct NoteChanges(Arc<Shared>);

impl NoteChanges {
    /// A number that changes when something new was noted.
    pub fn now(&self) -> u32 {
        self.0.changes.load(Ordering::Relaxed)
    }
}

/// A writer and its reader.
#[must_use]
pub fn song_notes() -> (NotesWriter, NotesReader) {
    let page = || Page {
        tag: AtomicI32::new(NO_PAGE),
        bar: AtomicU64::new(0),
        cells: [const { AtomicU16::new(0) }; PAGE_CELLS],
    };
    let shared = Arc::new(Shared {
        pages: (0..PAGES).map(|_| page()).collect(),
        sibilants: (0..SIBILANTS).map(|_| AtomicU64::new(0)).collect(),
        position: AtomicI64::new(NO_POSITION),
        timing: AtomicU8::default(),
        clears_asked: AtomicU32::default(),
        clears_done: AtomicU32::default(),
        changes: AtomicU32::default(),
    });
    (NotesWriter::new(shared.clone()), NotesReader::new(shared))
}

/// The page of the song that a tick lies in; `None` far outside of any song.
fn page_of(tick: i64) -> Option<i32> {
    let page = i32::try_from(tick.div_euclid(PAGE_TICKS)).ok();
    page.filter(|page| *page != NO_PAGE)
}

/// The place of a page of the song in the ring.
fn slot_of(page: i32) -> usize {
    page.rem_euclid(PAGES as i32) as usize
}
