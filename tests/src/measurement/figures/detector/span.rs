//! Stretches of samples.

use std::ops::Range;

/// `time_ms` in samples.
pub fn samples(time_ms: f64, sample_rate_hz: f64) -> usize {
    (time_ms * 1e-3 * sample_rate_hz).round() as usize
}

/// Longer by `margin` samples on each side.
pub fn widened(span: &Range<usize>, margin: usize) -> Range<usize> {
    span.start.saturating_sub(margin)..span.end + margin
}

/// Shorter by `margin` samples on each side; empty where nothing is left.
pub fn narrowed(span: &Range<usize>, margin: usize) -> Range<usize> {
    let start = span.start + margin;
    start..span.end.saturating_sub(margin).max(start)
}

/// The sample in the middle.
pub fn middle(span: &Range<usize>) -> usize {
    span.start.midpoint(span.end)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_short_vanishes() {
        assert_eq!(widened(&(5..10), 7), 0..17);
        assert_eq!(narrowed(&(0..30), 10), 10..20);
        assert!(narrowed(&(0..15), 10).is_empty());
        assert_eq!(middle(&(10..20)), 15);
        assert_eq!(samples(10.0, 48_000.0), 480);
    }
}
