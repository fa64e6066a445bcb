//! The maximum over a moving window.

/// Blocks per window. A value may count for up to one block longer than the window.
const BLOCKS: usize = 6;

/// The maximum of the last values, over a window that moves block by block.
#[derive(Debug, Clone, Copy)]
pub(crate) struct RecentMaximum {
    block_steps: usize,
    position: usize,
    current: f32,
    finished: [f32; BLOCKS],
    finished_maximum: f32,
}

impl RecentMaximum {
    /// For the last `steps` values, and up to a sixth more.
    pub fn new(steps: usize) -> Self {
        Self {
            block_steps: steps.div_ceil(BLOCKS),
            position: 0,
            current: 0.0,
            finished: [0.0; BLOCKS],
            finished_maximum: 0.0,
        }
    }

    pub fn reset(&mut self) {
        *self = Self::new(self.block_steps * BLOCKS);
    }

    /// Adds a value (0 or positive); returns the maximum.
    pub fn push(&mut self, value: f32) -> f32 {
        if self.position == self.block_steps {
            self.finished.rotate_left(1);
            self.finished[BLOCKS - 1] = self.current;
            self.finished_maximum = self.finished.iter().copied().fold(0.0, f32::max);
            (self.position, self.current) = (0, 0.0);
        }
        self.position += 1;
        self.current = self.current.max(value);
        self.current.max(self.finished_maximum)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_counts_for_the_window_and_at_most_one_block_more() {
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
