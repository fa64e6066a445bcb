//! The softest power over the last seconds: what remains while nobody sings.

use crate::clock::timing::{HOPS_PER_WINDOW, Timing};

/// The softest power is searched over 2 s, in spans: longer than a phrase without a gap between words.
const SPAN_MS: f32 = 250.0;
const SPANS: usize = 8;
/// Smoothing of the power before the softest is searched: single hops of a noise do not lie far above it.
const SMOOTHED_MS: f32 = 20.0;

/// The softest of the last 2 s, and of up to a span more.
pub(crate) struct SoftestPower {
    smoothed: f64,
    /// Hops until the first analysis window after a reset is full.
    filling_hops: usize,
    /// The softest power of each span, the newest last.
    softest: [f64; SPANS],
    hops_into_span: usize,
    hops_per_span: usize,
    smoothing_decay: f64,
}

impl SoftestPower {
    pub fn new(timing: Timing) -> Self {
        let mut softest = Self {
            smoothed: 0.0,
            filling_hops: 0,
            softest: [0.0; SPANS],
            hops_into_span: 0,
            hops_per_span: timing.hops(SPAN_MS),
            smoothing_decay: f64::from(timing.hop_decay(SMOOTHED_MS)),
        };
        softest.reset();
        softest
    }

    pub fn reset(&mut self) {
        (self.smoothed, self.filling_hops) = (0.0, HOPS_PER_WINDOW - 1);
        self.softest = [f64::INFINITY; SPANS];
        self.hops_into_span = 0;
    }

    /// Aligns the spans to the song; `hop` is the number of the next hop, counted from the start of the song.
    pub fn align_spans(&mut self, hop: i64) {
        self.hops_into_span = hop.rem_euclid(self.hops_per_span as i64) as usize;
    }

    /// Takes the power of a hop; returns the softest, which is infinite until the first window is full.
    pub fn update_hop(&mut self, power: f64) -> f64 {
        self.smooth(power);
        self.softest.iter().copied().fold(f64::INFINITY, f64::min)
    }

    fn smooth(&mut self, power: f64) {
        if self.filling_hops > 0 {
            // Playback may start within a word: a half-filled window would read softer than the noise floor.
            self.filling_hops -= 1;
            self.smoothed = power;
            return;
        }
        self.smoothed = power + self.smoothing_decay * (self.smoothed - power);
        self.hops_into_span += 1;
        if self.hops_into_span == self.hops_per_span {
            self.hops_into_span = 0;
            self.softest.rotate_left(1);
            self.softest[SPANS - 1] = f64::INFINITY;
        }
        let newest = &mut self.softest[SPANS - 1];
        *newest = newest.min(self.smoothed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_softest_counts_for_two_seconds_and_at_most_a_span_more() {
        let timing = Timing::new(48_000.0);
        let mut softest = SoftestPower::new(timing);
        let after = |softest: &mut SoftestPower, power, time_ms| {
            (0..timing.hops(time_ms))
                .map(|_| softest.update_hop(power))
                .last()
                .unwrap()
        };
        after(&mut softest, 1.0, 500.0);
        let soft = after(&mut softest, 1e-6, 300.0);
        assert!(soft < 2e-6, "{soft}");
        assert!(after(&mut softest, 1.0, 1950.0) < 2e-6);
        assert!(after(&mut softest, 1.0, 350.0) > 0.9);
    }
}
