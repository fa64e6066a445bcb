//! A ring buffer of the last frames.

use std::ops::Range;

use crate::primitives::frame::Frame;

/// The last frames of a signal; silence before the first.
#[derive(Debug, Clone)]
pub(crate) struct FrameHistory {
    frames: Vec<Frame>,
    /// Index of the oldest frame, which the next one replaces.
    next: usize,
}

impl FrameHistory {
    pub fn new(frames: usize) -> Self {
        Self {
            frames: vec![Frame::ZERO; frames],
            next: 0,
        }
    }

    pub fn reset(&mut self) {
        self.frames.fill(Frame::ZERO);
        self.next = 0;
    }

    /// The capacity in frames.
    pub fn len(&self) -> usize {
        self.frames.len()
    }

    /// Appends frames and drops the oldest.
    pub fn push(&mut self, frames: &[Frame]) {
        self.write(frames.len(), |run, room| room.copy_from_slice(&frames[run]));
    }

    /// Appends `length` frames and drops the oldest. `write` fills them, one run after the other: it gets which of them a run
    /// holds, and the room for them.
    pub fn write(&mut self, length: usize, mut write: impl FnMut(Range<usize>, &mut [Frame])) {
        let mut start = 0;
        while start < length && !self.frames.is_empty() {
            let end = length.min(start + self.frames.len() - self.next);
            write(start..end, &mut self.frames[self.next..][..end - start]);
            self.next += end - start;
            if self.next == self.frames.len() {
                self.next = 0;
            }
            start = end;
        }
    }

    /// The last `count` frames (at most the capacity), oldest first, in two pieces.
    pub fn last(&self, count: usize) -> (&[Frame], &[Frame]) {
        let (newer, older) = self.frames.split_at(self.next);
        let count = count.min(self.frames.len());
        let from_newer = count.min(newer.len());
        let from_older = count - from_newer;
        (
            &older[older.len() - from_older..],
            &newer[newer.len() - from_newer..],
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_returns_the_last_frames(blocks in prop::collection::vec(0usize..40, 0..20), len in 0usize..33, count in 0usize..50) {
            let mut history = FrameHistory::new(len);
            let mut all = vec![Frame::ZERO; len];
            for block in blocks {
                let frames: Vec<Frame> = (0..block).map(|n| Frame::splat((all.len() + n) as f64)).collect();
                history.push(&frames);
                all.extend(frames);
            }
            let (older, newer) = history.last(count);
            prop_assert_eq!([older, newer].concat(), &all[all.len() - count.min(len)..]);
        }
    }
}
