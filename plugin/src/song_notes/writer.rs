//! The side of the audio thread: notes each report at its song position. Does not allocate after it is made.

use std::sync::Arc;
use std::sync::atomic::Ordering::{Acquire, Relaxed, Release};

use siskin_dsp::{COUNTED_SIBILANT_S, Class, HopReport, Settings, SibilantSums, VOICE_CELL_S, VoiceCell};

use super::packed::pack_cell;
use super::place::{HostPlace, SongPositions};
use super::sibilants::Chains;
use super::{
    Bar, CELL_TICKS, NO_PAGE, NO_POSITION, NoteTiming, NotedSibilant, PAGE_CELLS, PAGE_TICKS, Shared,
    TICKS_PER_S, page_of, slot_of,
};

const _: () = assert!((VOICE_CELL_S * TICKS_PER_S as f32) as i64 == CELL_TICKS);

/// Hops whose song positions are further apart do not follow each other, ticks.
const MOST_HOP_TICKS: i64 = 6;
/// A part of a cell that is shorter than this does not replace what was noted of the whole, s.
const LEAST_CELL_S: f64 = 0.05;

/// Writes the notes.
pub struct NotesWriter {
    shared: Arc<Shared>,
    chains: Chains,
    positions: SongPositions,
    timing: NoteTiming,
    ticks_per_sample: f64,
    hop_s: f64,
    was_playing: bool,
    /// The engine's count when playback began.
    playback_from_sample: i64,
    /// The bar at a song position, ticks, as the host told last; `true` until it is noted.
    bar: Option<(i64, Bar)>,
    bar_is_due: bool,
    /// The page that was entered last, and the last hop.
    page: i32,
    last_tick: Option<i64>,
    cell: VoiceCell,
    cell_number: i64,
    threshold_lufs: f32,
    sibilant: Option<Current>,
    /// Whether the start of a sibilant would be seen: not right after a jump.
    sees_start: bool,
}

/// The sibilant that sounds.
struct Current {
    start_tick: i64,
    sums: SibilantSums,
}

impl NotesWriter {
    pub(super) fn new(shared: Arc<Shared>) -> Self {
        Self {
            shared,
            chains: Chains::new(),
            positions: SongPositions::default(),
            timing: NoteTiming::None,
            ticks_per_sample: 0.0,
            hop_s: 0.0,
            was_playing: false,
            playback_from_sample: 0,
            bar: None,
            bar_is_due: false,
            page: NO_PAGE,
            last_tick: None,
            cell: VoiceCell::default(),
            cell_number: 0,
            threshold_lufs: f32::NEG_INFINITY,
            sibilant: None,
            sees_start: false,
        }
    }

    /// Sets the sample rate and the length of a hop.
    pub fn set_clock(&mut self, sample_rate_hz: f64, hop_samples: usize) {
        self.ticks_per_sample = TICKS_PER_S as f64 / sample_rate_hz;
        self.hop_s = hop_samples as f64 / sample_rate_hz;
    }

    /// Begins a block whose first sample the engine counts as `next_sample`.
    pub fn begin_block(&mut self, place: &HostPlace, next_sample: i64) {
        let asked = self.shared.clears_asked.load(Acquire);
        if self.shared.clears_done.load(Relaxed) != asked {
            self.clear();
            self.shared.clears_done.store(asked, Release);
        }
        let song_sample = match (place.song_sample, self.timing) {
            (Some(sample), timing) => {
                if timing == NoteTiming::SincePlayback {
                    self.clear();
                }
                self.set_timing(NoteTiming::Song);
                place.is_playing.then_some(sample)
            }
            // Some hosts tell nothing while they stand still.
            (None, NoteTiming::Song) => None,
            (None, _) => Some(self.since_playback(place, next_sample)),
        };
        self.was_playing = place.is_playing;
        self.positions.begin_block(next_sample, song_sample);
        self.note_bar(place, song_sample);
    }

    /// Samples since playback began, where the host tells no position.
    fn since_playback(&mut self, place: &HostPlace, next_sample: i64) -> i64 {
        self.set_timing(NoteTiming::SincePlayback);
        let begins = place.is_playing && !self.was_playing;
        if begins || next_sample < self.playback_from_sample {
            self.playback_from_sample = next_sample;
        }
        next_sample - self.playback_from_sample
    }

    fn set_timing(&mut self, timing: NoteTiming) {
        self.timing = timing;
        self.shared.timing.store(timing as u8, Relaxed);
    }

    fn note_bar(&mut self, place: &HostPlace, song_sample: Option<i64>) {
        let bar = place
            .bar
            .zip(song_sample)
            .filter(|_| self.timing == NoteTiming::Song);
        let bar = bar.map(|(bar, sample)| (self.tick(sample), bar));
        let pace = |bar: &Option<(i64, Bar)>| bar.map(|(_, bar)| (bar.tempo_bpm, bar.metre));
        self.bar_is_due |= pace(&bar) != pace(&self.bar);
        self.bar = bar;
    }

    fn tick(&self, sample: i64) -> i64 {
        (sample as f64 * self.ticks_per_sample).floor() as i64
    }

    /// Notes the report of a hop. Bypass takes nothing from a sibilant.
    pub fn add(&mut self, report: &HopReport, settings: &Settings) {
        let tick = self
            .positions
            .song_sample(report.centre_sample)
            .map(|sample| self.tick(sample));
        let Some((tick, page)) = tick.and_then(|tick| Some((tick, page_of(tick)?))) else {
            self.break_off(settings);
            return;
        };
        let last_tick = self
            .last_tick
            .filter(|last| (1..=MOST_HOP_TICKS).contains(&(tick - last)));
        if last_tick.is_none() {
            self.break_off(settings);
        }
        self.enter(page);
        self.forget(last_tick.map_or(tick, |last| last + 1), tick);
        self.last_tick = Some(tick);
        self.add_to_cell(report, tick);
        self.add_to_sibilant(report, tick, settings);
        self.shared.position.store(tick, Relaxed);
    }

    /// Ends what lasts: the next hop does not follow the last one.
    fn break_off(&mut self, settings: &Settings) {
        self.end_cell();
        self.end_sibilant(settings);
        (self.last_tick, self.sees_start) = (None, false);
    }

    /// Makes the place of a page its own.
    fn enter(&mut self, page: i32) {
        let held = &self.shared.pages[slot_of(page)];
        let is_held = held.tag.load(Relaxed) == page;
        if !is_held {
            held.tag.store(NO_PAGE, Release);
            self.chains.remove_all(&self.shared.sibilants, slot_of(page));
            held.cells.iter().for_each(|cell| cell.store(0, Relaxed));
            held.bar.store(0, Relaxed);
            held.tag.store(page, Release);
        }
        if !is_held || self.page != page || self.bar_is_due {
            let start_tick = i64::from(page) * PAGE_TICKS;
            let word = self.bar.map_or(0, |(tick, bar)| {
                bar.moved((start_tick - tick) as f64 / TICKS_PER_S as f64).pack()
            });
            held.bar.store(word, Relaxed);
            (self.page, self.bar_is_due) = (page, false);
        }
    }

    /// Removes the sibilants that were noted from one tick to another: they are played again.
    fn forget(&mut self, from: i64, to: i64) {
        let page_tick = to - to.rem_euclid(PAGE_TICKS);
        if from < page_tick {
            self.forget_on_page(from, page_tick - 1);
        }
        self.forget_on_page(from.max(page_tick), to);
    }

    fn forget_on_page(&mut self, from: i64, to: i64) {
        if let Some(page) = page_of(from).filter(|page| self.holds(*page)) {
            let ticks = from.rem_euclid(PAGE_TICKS)..=to.rem_euclid(PAGE_TICKS);
            self.chains
                .remove_range(&self.shared.sibilants, slot_of(page), ticks);
        }
    }

    fn holds(&self, page: i32) -> bool {
        self.shared.pages[slot_of(page)].tag.load(Relaxed) == page
    }

    fn add_to_cell(&mut self, report: &HopReport, tick: i64) {
        let number = tick.div_euclid(CELL_TICKS);
        if number != self.cell_number {
            self.end_cell();
            self.cell_number = number;
        }
        self.cell.add(report);
        self.threshold_lufs = report.threshold_lufs;
    }

    fn end_cell(&mut self) {
        let cell = std::mem::take(&mut self.cell);
        let page = page_of(self.cell_number * CELL_TICKS).filter(|page| self.holds(*page));
        let Some(page) = page.filter(|_| cell.hops() > 0.0) else {
            return;
        };
        let index = self.cell_number.rem_euclid(PAGE_CELLS as i64) as usize;
        let noted = &self.shared.pages[slot_of(page)].cells[index];
        if cell.hops() * self.hop_s >= LEAST_CELL_S || noted.load(Relaxed) == 0 {
            let voice_lufs = cell.voice_lufs();
            noted.store(pack_cell(voice_lufs, self.threshold_lufs), Relaxed);
            // Without a position, silence shows nothing new: the window may rest.
            if self.timing == NoteTiming::Song || voice_lufs.is_finite() {
                self.shared.changes.fetch_add(1, Release);
            }
        }
    }

    fn add_to_sibilant(&mut self, report: &HopReport, tick: i64, settings: &Settings) {
        if report.class != Class::Sibilant || !report.voice_detected {
            self.end_sibilant(settings);
            self.sees_start = true;
            return;
        }
        if !self.sees_start {
            return;
        }
        let current = self.sibilant.get_or_insert(Current {
            start_tick: tick,
            sums: SibilantSums::default(),
        });
        let gain_db = report.sibilance_gain_db;
        current.sums.add(&HopReport {
            sibilance_gain_db: if settings.output.bypass { 0.0 } else { gain_db },
            ..*report
        });
    }

    fn end_sibilant(&mut self, settings: &Settings) {
        let Some(Current { start_tick, sums }) = self.sibilant.take() else {
            return;
        };
        let page = page_of(start_tick).filter(|page| self.holds(*page));
        let Some(page) = page.filter(|_| sums.hops() * self.hop_s >= f64::from(COUNTED_SIBILANT_S)) else {
            return;
        };
        let mut sibilance = settings.sibilance;
        sibilance.on &= !settings.output.bypass;
        let levels = sums.levels(&sibilance);
        let noted = NotedSibilant {
            start_s: 0.0,
            before_lu: levels.before_lufs - levels.voice_lufs,
            asked_lu: levels.asked_lufs - levels.voice_lufs,
            left_lu: levels.left_lufs - levels.voice_lufs,
            is_limited: levels.is_limited,
        };
        let slot = slot_of(page);
        self.chains
            .add(&self.shared.sibilants, slot, noted.pack(slot, start_tick));
        self.shared.changes.fetch_add(1, Release);
    }

    /// Forgets all.
    fn clear(&mut self) {
        for page in &self.shared.pages {
            page.tag.store(NO_PAGE, Relaxed);
        }
        self.chains.clear(&self.shared.sibilants);
        self.shared.position.store(NO_POSITION, Relaxed);
        (self.cell, self.sibilant, self.last_tick) = (VoiceCell::default(), None, None);
        (self.page, self.sees_start) = (NO_PAGE, false);
        self.set_timing(NoteTiming::None);
    }
}
