//! A switch that turns softly.

use crate::timing::Timing;

/// Share of what is switched on: 0 and 1 exactly at the ends, without a corner on the way.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fade {
    steps: usize,
    position: usize,
}

impl Fade {
    pub fn new(timing: Timing, length_ms: f32) -> Self {
        Self {
            steps: timing.steps(length_ms),
            position: 0,
        }
    }

    pub fn reset(&mut self, on: bool) {
        self.position = if on { self.steps } else { 0 };
    }

    /// One step towards on or off.
    pub fn step(&mut self, on: bool) {
        self.position = if on {
            (self.position + 1).min(self.steps)
        } else {
            self.position.saturating_sub(1)
        };
    }

    /// The share now.
    pub fn share(&self) -> f32 {
        let way = self.position as f32 / self.steps as f32;
        way * way * (3.0 - 2.0 * way)
    }
}
