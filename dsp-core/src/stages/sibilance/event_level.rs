//! The level of one sibilant.

use crate::clock::timing::{HOPS_PER_WINDOW, Timing};

/// Averaging time: noise reads to within half a decibel, and a fading s is still followed. With 14 ms the singer's chorus is
/// reduced by 0.03 LU more on average, because the knee turns scatter into reduction.
const AVERAGE_MS: f32 = 16.0;
/// Hops at the onset in which the analysis window still fills with the event: each replaces the one before.
const ONSET_HOPS: usize = HOPS_PER_WINDOW - 2;
/// Power ratio (6 dB) above the mean at which the average restarts, because the event was still rising. Noise alone gets
/// there less than once in a thousand hops.
const RISING: f64 = 4.0;
/// Power ratio (2 dB) below the mean at which the average restarts, because a burst is over or an s fades. This keeps a
/// fading sibilant in proportion (on the demo's and espeak-ng's voices 1.6 is better than 2.0 and 2.5).
const FALLING: f64 = 1.6;

/// The mean power of the event so far, over at most the last 16 ms.
pub(crate) struct EventLevel {
    mean: f64,
    hops: usize,
    hops_since_onset: usize,
    average_hops: usize,
}

impl EventLevel {
    pub fn new(timing: Timing) -> Self {
        Self {
            mean: 0.0,
            hops: 0,
            hops_since_onset: 0,
            average_hops: timing.hops(AVERAGE_MS),
        }
    }

    /// Ends the event.
    pub fn reset(&mut self) {
        (self.mean, self.hops, self.hops_since_onset) = (0.0, 0, 0);
    }

    /// Adds the power of the event's next hop; returns the mean power.
    pub fn push(&mut self, power: f64) -> f64 {
        let filling = self.hops_since_onset < ONSET_HOPS;
        self.hops_since_onset += 1;
        if filling || power > RISING * self.mean || FALLING * power < self.mean {
            self.hops = 0;
        }
        self.hops = (self.hops + 1).min(self.average_hops);
        self.mean += (power - self.mean) / self.hops as f64;
        self.mean
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn event() -> EventLevel {
        EventLevel::new(Timing::new(48_000.0))
    }

    #[test]
    fn an_abrupt_onset_reads_its_level_once_the_window_is_full() {
        let mut level = event();
        for power in [0.01, 0.6] {
            level.push(power);
        }
        assert!((level.push(1.0) - 1.0).abs() < 0.25);
    }

    #[test]
    fn the_end_of_a_burst_is_followed_at_once_and_noise_is_averaged() {
        let mut level = event();
        for _ in 0..6 {
            level.push(4.0);
        }
        assert_eq!(level.push(1.0), 1.0);
        let noisy: Vec<f64> = (0..200)
            .map(|hop| level.push(if hop % 2 == 0 { 1.25 } else { 0.8 }))
            .collect();
        assert!(noisy[20..].iter().all(|power| (0.9..1.15).contains(power)));
    }

    #[test]
    fn reset_ends_the_event() {
        let mut level = event();
        for _ in 0..50 {
            level.push(9.0);
        }
        level.reset();
        assert_eq!(level.push(0.5), 0.5);
    }
}
