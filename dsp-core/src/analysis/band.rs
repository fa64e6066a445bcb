//! A frequency band as a range of bins.

use std::ops::Range;

use wide::f32x4;

use crate::clock::timing::Timing;

/// SIMD width of the sums.
const LANES: usize = 4;

/// The bins between two frequencies. A bin that lies across an edge counts in proportion.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Band {
    first_whole: usize,
    end_whole: usize,
    share_below: f32,
    share_above: f32,
}

impl Band {
    /// The band between two frequencies, for spectra of this timing. Infinity is the end of the spectrum.
    pub fn new(timing: Timing, band_hz: Range<f64>) -> Self {
        let bin_hz = timing.bin_hz();
        let end = timing.bins() as f64;
        let edge = |hz: f64| (hz / bin_hz + 0.5).clamp(0.0, end);
        let (from, to) = (edge(band_hz.start), edge(band_hz.end));
        if from.ceil() > to.floor() {
            // The band lies within one bin.
            return Self {
                first_whole: to as usize,
                end_whole: to as usize,
                share_below: 0.0,
                share_above: (to - from) as f32,
            };
        }
        Self {
            first_whole: from.ceil() as usize,
            end_whole: to.floor() as usize,
            share_below: (from.ceil() - from) as f32,
            share_above: (to - to.floor()) as f32,
        }
    }

    /// Sums `bins` (one value per bin) over this band.
    pub fn sum(&self, bins: &[f32]) -> f32 {
        let straddling = |bin: usize, share: f32| bins.get(bin).map_or(0.0, |value| share * value);
        sum(&bins[self.first_whole..self.end_whole])
            + straddling(self.first_whole.wrapping_sub(1), self.share_below)
            + straddling(self.end_whole, self.share_above)
    }
}

fn sum(values: &[f32]) -> f32 {
    let (groups, rest) = values.as_chunks::<LANES>();
    let lanes = groups
        .iter()
        .fold(f32x4::ZERO, |lanes, group| lanes + f32x4::from(*group));
    rest.iter().fold(lanes.reduce_add(), |sum, value| sum + value)
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
