//! Clocks, and what reading them costs.

use std::hint::black_box;
use std::time::{Duration, Instant};

pub(super) use crate::hosts::processor_time;

/// Readings of which the quickest counts.
const READINGS: usize = 10_000;

/// Time of the processor that `work` takes on this thread: what other programs get meanwhile is not in it.
pub(super) fn of_processor(work: impl FnOnce()) -> Duration {
    let began = processor_time();
    work();
    processor_time().saturating_sub(began)
}

/// What a pair of readings of [`Instant`] reads when nothing lies between them.
pub(super) fn instant_overhead() -> Duration {
    quickest(|| black_box(Instant::now()).elapsed())
}

/// The same of the processor's clock.
pub(super) fn processor_overhead() -> Duration {
    quickest(|| of_processor(|| {}))
}

fn quickest(reading: impl Fn() -> Duration) -> Duration {
    (0..READINGS).map(|_| reading()).min().unwrap_or_default()
}
