//! The lookahead delay.

use crate::settings::Lookahead;

/// One delay line per channel, long enough for every lookahead that needs no other memory.
pub(crate) struct LookaheadDelay {
    lines: Vec<Vec<f32>>,
    length: usize,
    position: usize,
}

impl LookaheadDelay {
    pub fn new(channels: usize, sample_rate_hz: f64, lookahead: Lookahead) -> Self {
        let length = lookahead.samples(sample_rate_hz);
        let max_samples = Lookahead::Long.samples(sample_rate_hz).max(length).max(1);
        Self {
            lines: vec![vec![0.0; max_samples]; channels],
            length,
            position: 0,
        }
    }

    /// Changes the length; call [`Self::reset`] afterwards.
    pub fn set_length(&mut self, samples: usize) {
        self.length = samples;
    }

    pub fn reset(&mut self) {
        self.lines.iter_mut().for_each(|line| line.fill(0.0));
        self.position = 0;
    }

    /// Replaces each sample by the one `length` samples before.
    pub fn process(&mut self, audio: &mut [&mut [f32]]) {
        if self.length == 0 {
            return;
        }
        let mut position = self.position;
        for (line, channel) in self.lines.iter_mut().zip(audio) {
            position = self.position;
            let mut samples = &mut **channel;
            while !samples.is_empty() {
                let (run, rest) = samples.split_at_mut(samples.len().min(self.length - position));
                line[position..position + run.len()].swap_with_slice(run);
                position += run.len();
                if position == self.length {
                    position = 0;
                }
                samples = rest;
            }
        }
        self.position = position;
    }
}
