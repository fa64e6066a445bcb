//! Which sibilants lie on which page: chains through the array, which only the writer uses.

use std::ops::RangeInclusive;
use std::sync::atomic::{AtomicU64, Ordering};

use super::packed::packed_tick;
use super::{PAGES, SIBILANTS};

/// The end of a chain.
const END: u16 = u16::MAX;
const _: () = assert!(SIBILANTS < END as usize);

/// A chain for each page of the ring, and one of the places that are free again.
pub(super) struct Chains {
    first: Box<[u16]>,
    next: Box<[u16]>,
    free: u16,
    /// Places from here on were never used.
    used: u16,
}

impl Chains {
    pub fn new() -> Self {
        Self {
            first: vec![END; PAGES].into(),
            next: vec![END; SIBILANTS].into(),
            free: END,
            used: 0,
        }
    }

    /// Adds a sibilant to the page in `slot`. Where no place is free, those of the next pages of the ring give way.
    pub fn add(&mut self, words: &[AtomicU64], slot: usize, word: u64) {
        let Some(place) = self.take_place(words, slot) else {
            return;
        };
        self.next[usize::from(place)] = self.first[slot];
        self.first[slot] = place;
        words[usize::from(place)].store(word, Ordering::Relaxed);
    }

    fn take_place(&mut self, words: &[AtomicU64], slot: usize) -> Option<u16> {
        if self.free == END && usize::from(self.used) < words.len() {
            self.used += 1;
            return Some(self.used - 1);
        }
        if self.free == END {
            let others = (1..PAGES).map(|ahead| (slot + ahead) % PAGES);
            let full = others.into_iter().find(|&other| self.first[other] != END)?;
            self.remove(words, full, |_| true);
        }
        let place = self.free;
        self.free = *self.next.get(usize::from(place))?;
        Some(place)
    }

    /// Removes those that begin at such ticks of the page in `slot`.
    pub fn remove_range(&mut self, words: &[AtomicU64], slot: usize, ticks: RangeInclusive<i64>) {
        self.remove(words, slot, |tick| ticks.contains(&tick));
    }

    /// Removes all of the page in `slot`.
    pub fn remove_all(&mut self, words: &[AtomicU64], slot: usize) {
        self.remove(words, slot, |_| true);
    }

    fn remove(&mut self, words: &[AtomicU64], slot: usize, is_removed: impl Fn(i64) -> bool) {
        let (mut place, mut before) = (self.first[slot], END);
        while let Some(word) = words.get(usize::from(place)) {
            let next = self.next[usize::from(place)];
            if is_removed(packed_tick(word.load(Ordering::Relaxed))) {
                word.store(0, Ordering::Relaxed);
                match self.next.get_mut(usize::from(before)) {
                    Some(before) => *before = next,
                    None => self.first[slot] = next,
                }
                self.next[usize::from(place)] = self.free;
                self.free = place;
            } else {
                before = place;
            }
            place = next;
        }
    }

    /// Removes all.
    pub fn clear(&mut self, words: &[AtomicU64]) {
        let used = &words[..usize::from(self.used)];
        used.iter().for_each(|word| word.store(0, Ordering::Relaxed));
        self.first.fill(END);
        (self.free, self.used) = (END, 0);
    }
}
