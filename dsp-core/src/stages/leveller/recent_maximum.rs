//! The greatest value of late.

/// Blocks that the window is made of: the longest that a value may count beyond the window is one of them.
const BLOCKS: usize = 6;

/// The greatest of the last values, over a window that moves on block by block.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RecentMaximum {
    block_steps: usize,
    position: usize,
    current: f32,
    finished: [f32; BLOCKS],
    of_finished: f32,
}

impl RecentMaximum {
    /// Over the last `steps` values, and up to a sixth more.
    pub fn new(steps: usize) -> Self {
        Self {
            block_steps: steps.div_ceil(BLOCKS),
            position: 0,
            current: 0.0,
            finished: [0.0; BLOCKS],
            of_finished: 0.0,
        }
    }

    pub fn reset(&mut self) {
        *self = Self::new(self.block_steps * BLOCKS);
    }

    /// Takes a value that is not negative; returns the greatest.
    pub fn push(&mut self, value: f32) -> f32 {
        if self.position == self.block_steps {
            self.finished.rotate_left(1);
            self.finished[BLOCKS - 1] = self.current;
            self.of_finished = self.finished.iter().copied().fold(0.0, f32::max);
            (self.position, self.current) = (0, 0.0);
        }
        self.position += 1;
        self.current = self.current.max(value);
        self.current.max(self.of_finished)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_counts_for_the_window_and_no_longer_than_a_block_more() {
        let mut recent = RecentMaximum::new(60);
        for start in 0..25 {
            recent.reset();
            (0..start).for_each(|_| assert_eq!(recent.push(1.0), 1.0));
            assert_eq!(recent.push(5.0), 5.0);
            (0..60).for_each(|_| assert_eq!(recent.push(1.0), 5.0));
            (0..10).for_each(|_| assert!(recent.push(2.0) >= 2.0));
            assert_eq!(recent.push(2.0), 2.0, "{start}");
        }
    }
}
