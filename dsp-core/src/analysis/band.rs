//! A frequency band as a range of bins.

use std::ops::Range;

use wide::f32x4;

use crate::clock::timing::Timing;

/// SIMD width of the sums.
const LANES: usize = 4;

/// The bins between two frequencies, in groups. A bin that lies across an edge counts in proportion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Band {
    first_group: usize,
    last_group: usize,
    /// The shares of the bins of the first group, and of the last if that is another. Groups between count whole.
    first: [f32; LANES],
    last: [f32; LANES],
    /// The share of the highest bin, which is in no group.
    top: f32,
}

impl Band {
    /// The band between two frequencies, for spectra of this timing. Infinity is the end of the spectrum.
    pub fn new(timing: Timing, band_hz: Range<f64>) -> Self {
        let (bins, bin_hz) = (timing.bins(), timing.bin_hz());
        let edge = |hz: f64| (hz / bin_hz + 0.5).clamp(0.0, bins as f64);
        let (from, to) = (edge(band_hz.start), edge(band_hz.end));
        let share = |bin: usize| (to.min(bin as f64 + 1.0) - from.max(bin as f64)).max(0.0) as f32;
        let shares = |group: usize| std::array::from_fn(|lane| share(LANES * group + lane));
        let highest_group = bins / LANES - 1;
        let first_group = (from as usize / LANES).min(highest_group);
        let last_group = (to as usize / LANES).min(highest_group);
        Self {
            first_group,
            last_group,
            first: shares(first_group),
            last: if last_group > first_group {
                shares(last_group)
            } else {
                [0.0; LANES]
            },
            top: share(LANES * (highest_group + 1)),
        }
    }

    /// Sums `bins` (one value per bin) over this band.
    pub fn sum(&self, bins: &[f32]) -> f32 {
        let (groups, top) = bins.as_chunks::<LANES>();
        let weighted = |group: usize, shares: [f32; LANES]| f32x4::new(groups[group]) * f32x4::new(shares);
        let edges = weighted(self.first_group, self.first) + weighted(self.last_group, self.last);
        let next_group = self.first_group + 1;
        let whole = &groups[next_group..self.last_group.max(next_group)];
        let lanes = whole
            .iter()
            .fold(edges, |lanes, &group| lanes + f32x4::new(group));
        lanes.reduce_add() + top.first().map_or(0.0, |top| self.top * top)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::test_signals::white_noise;
    use proptest::prelude::*;

    /// The share of a bin (half a bin to either side of its centre) that lies in a band.
    fn share(bin: usize, bin_hz: f64, band: &Range<f64>) -> f64 {
        let (low, high) = ((bin as f64 - 0.5) * bin_hz, (bin as f64 + 0.5) * bin_hz);
        ((high.min(band.end) - low.max(band.start)) / bin_hz).max(0.0)
    }

    proptest! {
        #[test]
        fn bins_count_in_proportion_to_their_overlap_with_the_band(
            rate_hz in prop::sample::select(vec![44_100.0, 48_000.0, 192_000.0]),
            from_hz in 0f64..30_000.0, width_hz in 1f64..30_000.0, seed in 1u32..1000,
        ) {
            let timing = Timing::new(rate_hz);
            let bins: Vec<f32> = white_noise(timing.bins(), seed).into_iter().map(f32::abs).collect();
            let band = from_hz..from_hz + width_hz;
            let expected: f64 = bins
                .iter()
                .enumerate()
                .map(|(bin, &value)| share(bin, timing.bin_hz(), &band) * f64::from(value))
                .sum();
            let sum = f64::from(Band::new(timing, band).sum(&bins));
            prop_assert!((sum - expected).abs() < 1e-5 * expected.max(1.0), "{sum} {expected}");
        }
    }
}
