//! Facts as words: what one atomic write makes known as a whole.

use super::{PAGE_TICKS, PAGES, TICKS_PER_S};

/// Levels of cells: from here up, in such steps, LUFS and LU. Softer and louder ones read as the ends of the scale.
const LOWEST_LUFS: f32 = -60.0;
const LEVEL_STEP_LU: f32 = 0.25;
/// A cell that was played without a voice; 0 is a cell that was never played.
const NO_VOICE: u8 = 1;

/// Levels of sibilants: from here up, in such steps, LU against the voice.
const LOWEST_LU: f32 = -61.44;
const SIBILANT_STEP_LU: f32 = 0.02;
const LEVEL_BITS: u32 = 12;

/// A cell: level of the voice, minus infinity where there is none, and threshold.
pub(super) fn pack_cell(voice_lufs: f32, threshold_lufs: f32) -> u16 {
    u16::from_be_bytes([level_code(voice_lufs), level_code(threshold_lufs)])
}

/// Voice and threshold of a cell, LUFS; `None` where it was never played.
pub(super) fn unpack_cell(cell: u16) -> Option<(f32, f32)> {
    let [voice, threshold] = cell.to_be_bytes();
    (voice > 0).then(|| (level_of(voice), level_of(threshold)))
}

fn level_code(lufs: f32) -> u8 {
    if !lufs.is_finite() {
        return NO_VOICE;
    }
    let steps = ((lufs - LOWEST_LUFS) / LEVEL_STEP_LU).round();
    NO_VOICE + 1 + steps.clamp(0.0, f32::from(u8::MAX - NO_VOICE - 1)) as u8
}

fn level_of(code: u8) -> f32 {
    match code.checked_sub(NO_VOICE + 1) {
        Some(steps) => LOWEST_LUFS + LEVEL_STEP_LU * f32::from(steps),
        None => f32::NEG_INFINITY,
    }
}

/// A sibilant of the song. Levels are against the voice, LU.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NotedSibilant {
    /// Where it begins, seconds.
    pub start_s: f64,
    /// As it comes.
    pub before_lu: f32,
    /// What Proportion, ratio and Range make of it.
    pub asked_lu: f32,
    /// As it leaves.
    pub left_lu: f32,
    /// Whether Range ended its reduction.
    pub is_limited: bool,
}

impl NotedSibilant {
    /// How far it leaves from what was asked, LU.
    pub fn off_lu(&self) -> f32 {
        self.left_lu - self.asked_lu
    }

    /// As a word, which is never 0. `tick` lies on the page in `slot`.
    pub(super) fn pack(&self, slot: usize, tick: i64) -> u64 {
        let levels = [self.before_lu, self.asked_lu, self.left_lu].map(|lu| {
            let steps = ((lu - LOWEST_LU) / SIBILANT_STEP_LU).round();
            steps.clamp(0.0, f32::from((1u16 << LEVEL_BITS) - 1)) as u64
        });
        let place = slot as u64 * PAGE_TICKS as u64 + tick.rem_euclid(PAGE_TICKS) as u64;
        let word = levels
            .into_iter()
            .fold(place, |word, level| word << LEVEL_BITS | level);
        word << 2 | u64::from(self.is_limited) << 1 | 1
    }

    /// From a word; `page` tells which page of the song lies in a slot.
    pub(super) fn unpack(word: u64, page: impl Fn(usize) -> Option<i32>) -> Option<Self> {
        let slot = packed_slot(word)?;
        let level = |place: u32| {
            let steps = word >> (2 + LEVEL_BITS * place) & ((1 << LEVEL_BITS) - 1);
            LOWEST_LU + SIBILANT_STEP_LU * steps as f32
        };
        let tick = i64::from(page(slot)?) * PAGE_TICKS + packed_tick(word);
        Some(Self {
            start_s: tick as f64 / TICKS_PER_S as f64,
            before_lu: level(2),
            asked_lu: level(1),
            left_lu: level(0),
            is_limited: word & 2 != 0,
        })
    }
}

/// The slot of a packed sibilant; `None` of an empty word.
fn packed_slot(word: u64) -> Option<usize> {
    let slot = (word >> (2 + 3 * LEVEL_BITS)) as usize / PAGE_TICKS as usize;
    (word != 0 && slot < PAGES).then_some(slot)
}

/// The tick of a packed sibilant on its page.
pub(super) fn packed_tick(word: u64) -> i64 {
    (word >> (2 + 3 * LEVEL_BITS)) as i64 % PAGE_TICKS
}

/// Where a page begins in bars, as the host counts them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bar {
    /// The bar, from 1.
    pub number: i32,
    /// Quarter notes since it began.
    pub quarters: f64,
    /// Beats in a bar, and which part of a whole note a beat is.
    pub metre: (u8, u8),
    /// Quarter notes a minute.
    pub tempo_bpm: f64,
}

const BAR_BITS: u32 = 16;
const METRE_BITS: u32 = 6;
const TEMPO_BITS: u32 = 16;
const TEMPO_STEPS: f64 = 64.0;
const QUARTER_BITS: u32 = 18;
const QUARTER_STEPS: f64 = 4096.0;

impl Bar {
    /// Quarter notes in a bar.
    fn length(&self) -> f64 {
        4.0 * f64::from(self.metre.0) / f64::from(self.metre.1)
    }

    /// The same in a metre that is kept, or `None`: 1 to 63 beats of a whole to a 128th note, and a tempo.
    pub fn checked(self) -> Option<Self> {
        let beats = (1..1 << METRE_BITS).contains(&u32::from(self.metre.0));
        let has_tempo = self.tempo_bpm > 0.0 && self.tempo_bpm.is_finite();
        let is_kept = beats && self.metre.1.is_power_of_two() && has_tempo;
        (is_kept && self.quarters.is_finite()).then_some(self)
    }

    /// The bar and the quarter notes since it began, `seconds` later or earlier.
    pub fn moved(self, seconds: f64) -> Self {
        let quarters = self.quarters + seconds * self.tempo_bpm / 60.0;
        // What lies a rounding before a bar is its first beat.
        let bars = ((quarters + 0.5 / QUARTER_STEPS) / self.length()).floor();
        Self {
            number: self.number.saturating_add(bars as i32),
            quarters: (quarters - bars * self.length()).max(0.0),
            ..self
        }
    }

    /// The beat, from 1, with its fraction.
    pub fn beat(&self) -> f64 {
        1.0 + self.quarters * f64::from(self.metre.1) / 4.0
    }

    /// As a word, which is never 0.
    pub(super) fn pack(&self) -> u64 {
        let number = self.number.clamp(i16::MIN.into(), i16::MAX.into()) as i16 as u16;
        let part = |value: f64, steps: f64, bits: u32| {
            (value * steps).round().clamp(0.0, ((1u64 << bits) - 1) as f64) as u64
        };
        let mut word = u64::from(number);
        word = word << METRE_BITS | u64::from(self.metre.0);
        word = word << 3 | u64::from(self.metre.1.trailing_zeros());
        word = word << TEMPO_BITS | part(self.tempo_bpm, TEMPO_STEPS, TEMPO_BITS);
        word = word << QUARTER_BITS | part(self.quarters, QUARTER_STEPS, QUARTER_BITS);
        word << 1 | 1
    }

    /// From a word; `None` where the host did not tell.
    pub(super) fn unpack(word: u64) -> Option<Self> {
        let mut rest = word >> 1;
        let mut take = |bits: u32| {
            let value = rest & ((1 << bits) - 1);
            rest >>= bits;
            value
        };
        let quarters = take(QUARTER_BITS) as f64 / QUARTER_STEPS;
        let tempo_bpm = take(TEMPO_BITS) as f64 / TEMPO_STEPS;
        let part = 1u8 << take(3);
        let beats = take(METRE_BITS) as u8;
        let number = i32::from(take(BAR_BITS) as u16 as i16);
        (word != 0).then_some(Self {
            number,
            quarters,
            metre: (beats, part),
            tempo_bpm,
        })
    }
}
