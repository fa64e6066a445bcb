//! Reach: how far down in frequency a reduction extends, from the sibilant band alone to the whole voice.
//!
//! A depth in decibels is split between a high shelf and plain gain. As Reach rises, the shelf's corner falls and the share of
//! plain gain grows, so that the reduction grows at every frequency.

use crate::analysis::Spectrum;
use crate::primitives::decibels::{db_from_power, gain_from_db, power_from_db};
use crate::primitives::powers_of_two::exp2;
use crate::primitives::state_variable::warped;
use crate::settings::SibilanceSettings;
use crate::stages::sibilance::shelf_shape::{ShelfShape, shelf_power_gain, shelf_shares};

/// Lowest corner of the shelf relative to `Detect from`, in warped frequency. At Reach 0 the deepest Range (24 dB) reduces
/// frequencies below `Detect from` by 0.4 dB at most.
const OVER_DETECT_FROM: FallingRatio = FallingRatio {
    at_zero: 1.34,
    octaves: 3.7,
};
/// Lowest corner relative to the edge of the sibilant, in warped frequency: just below the edge at Reach 0, so that the
/// sibilant is reduced, and never far below, which would only dull other sounds.
const OVER_EDGE: FallingRatio = FallingRatio {
    at_zero: 0.95,
    octaves: 1.7,
};
/// Iterations of the search for the depth. The reduction is almost proportional to the depth: three iterations are within
/// 0.05 dB.
const SEARCH_STEPS: usize = 3;

/// A frequency ratio that falls as Reach rises: its value at Reach 0, and by how many octaves it falls until Reach 1.
struct FallingRatio {
    at_zero: f32,
    octaves: f32,
}

impl FallingRatio {
    fn at(&self, reach: f32) -> f64 {
        f64::from(self.at_zero) * exp2(f64::from(-self.octaves * reach))
    }
}

/// The shelf of the sibilance stage at one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SibilanceShelf {
    /// Gain far above the edge, dB, 0 or negative.
    pub gain_db: f32,
    /// Lower edge of the sibilant, Hz.
    pub edge_hz: f32,
}

/// Gain of the sibilance stage at `frequency_hz`, dB, 0 or negative: the response of the filter in closed form.
#[must_use]
pub fn sibilance_gain_db(
    settings: &SibilanceSettings,
    shelf: SibilanceShelf,
    sample_rate_hz: f64,
    frequency_hz: f32,
) -> f32 {
    let reach = Reach::new(settings, sample_rate_hz);
    let (plain_db, shelf_db) = reach.split((-shelf.gain_db).max(0.0));
    let ratio = warped(f64::from(frequency_hz), sample_rate_hz) / reach.warped_corner(shelf.edge_hz);
    let power_gain = shelf_power_gain(ratio as f32, 10f32.powf(-shelf_db / 10.0));
    10.0 * power_gain.log10() - plain_db
}

/// The power of a band, split into the part that a shelf leaves and the part that it reduces.
#[derive(Debug, Clone, Copy, Default)]
struct ShelvedBand {
    left: f64,
    shelved: f64,
}

/// The split for one setting of Reach and `Detect from`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reach {
    reach: f32,
    from_hz: f32,
    plain_share: f32,
    lowest_warped_corner: f64,
    corner_over_edge: f64,
    sample_rate_hz: f64,
}

impl Reach {
    pub fn new(settings: &SibilanceSettings, sample_rate_hz: f64) -> Self {
        let reach = settings.reach;
        Self {
            reach,
            from_hz: settings.from_hz,
            plain_share: reach * reach,
            lowest_warped_corner: OVER_DETECT_FROM.at(reach)
                * warped(f64::from(settings.from_hz), sample_rate_hz),
            corner_over_edge: OVER_EDGE.at(reach),
            sample_rate_hz,
        }
    }

    /// Follows the settings; computes nothing where they are the same.
    pub fn follow(&mut self, settings: &SibilanceSettings) {
        if (self.reach, self.from_hz) != (settings.reach, settings.from_hz) {
            *self = Self::new(settings, self.sample_rate_hz);
        }
    }

    /// `Detect from`, Hz.
    pub fn detect_from_hz(&self) -> f32 {
        self.from_hz
    }

    /// The shelf while nothing is reduced.
    pub fn resting_shape(&self) -> ShelfShape {
        self.shape(0.0, self.from_hz)
    }

    /// The shelf for a reduction of `depth_db` (0 or positive) of a sibilant with its edge at `edge_hz`.
    pub fn shape(&self, depth_db: f32, edge_hz: f32) -> ShelfShape {
        let (plain_db, shelf_db) = self.split(depth_db);
        ShelfShape {
            warped_corner: self.warped_corner(edge_hz),
            root: gain_from_db(-0.25 * shelf_db),
            plain: gain_from_db(-plain_db),
        }
    }

    /// The depth with which the band above `Detect from` of this spectrum is reduced by `requested_db` in total, although the
    /// shelf leaves its lower part. The depth never exceeds Range, so close to Range the band is reduced a little less.
    pub fn depth_db(
        &self,
        requested_db: f32,
        edge_hz: f32,
        spectrum: &Spectrum,
        settings: &SibilanceSettings,
    ) -> f32 {
        if requested_db <= 0.0 {
            return requested_db;
        }
        let band = self.shelved_band(edge_hz, spectrum, settings.from_hz);
        let mut depth_db = requested_db;
        for _ in 0..SEARCH_STEPS {
            let band_db = self.band_reduction_db(depth_db, &band);
            if band_db <= 0.0 {
                return requested_db;
            }
            depth_db = (depth_db * requested_db / band_db)
                .max(requested_db)
                .min(settings.range_db);
        }
        depth_db
    }

    /// Splits the band above `from_hz`. The split does not depend on the depth.
    fn shelved_band(&self, edge_hz: f32, spectrum: &Spectrum, from_hz: f32) -> ShelvedBand {
        let per_corner = (1.0 / self.warped_corner(edge_hz)) as f32;
        let mut band = ShelvedBand::default();
        for (warped, power) in spectrum.pairs_from(from_hz) {
            let (left, shelved) = shelf_shares(warped * per_corner);
            band.left += f64::from(power * left);
            band.shelved += f64::from(power * shelved);
        }
        band
    }

    /// Reduction of the band at a depth, dB.
    fn band_reduction_db(&self, depth_db: f32, band: &ShelvedBand) -> f32 {
        let (plain_db, shelf_db) = self.split(depth_db);
        let before = band.left + band.shelved;
        let after = band.left + band.shelved * power_from_db(-shelf_db);
        if after > 0.0 {
            plain_db + db_from_power(before / after)
        } else {
            depth_db
        }
    }

    fn warped_corner(&self, edge_hz: f32) -> f64 {
        let over_edge = self.corner_over_edge * warped(f64::from(edge_hz), self.sample_rate_hz);
        over_edge.max(self.lowest_warped_corner)
    }

    /// Splits a depth into plain gain and shelf.
    fn split(&self, depth_db: f32) -> (f32, f32) {
        let plain_db = depth_db * self.plain_share;
        (plain_db, depth_db - plain_db)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_curve_reaches_its_depth_and_extends_down_with_reach() {
        let at = |reach: f32, hz: f32| {
            let settings = SibilanceSettings {
                reach,
                ..SibilanceSettings::default()
            };
            let shelf = SibilanceShelf {
                gain_db: -12.0,
                edge_hz: 5000.0,
            };
            sibilance_gain_db(&settings, shelf, 48_000.0, hz)
        };
        assert!((at(0.0, 18_000.0) + 12.0).abs() < 0.05, "{}", at(0.0, 18_000.0));
        assert!(at(0.0, 2000.0) > -0.1);
        assert!((at(1.0, 100.0) + 12.0).abs() < 1e-3 && (at(1.0, 18_000.0) + 12.0).abs() < 1e-3);
        for hz in [300.0, 2000.0, 5000.0, 9000.0] {
            assert!(
                at(0.25, hz) >= at(0.5, hz) && at(0.5, hz) >= at(1.0, hz),
                "{hz} Hz"
            );
        }
    }

    #[test]
    fn a_split_that_follows_the_settings_is_that_of_the_settings() {
        let mut settings = SibilanceSettings::default();
        let mut reach = Reach::new(&settings, 48_000.0);
        for (share, from_hz) in [(0.9, 4000.0), (0.9, 6000.0), (0.1, 6000.0)] {
            (settings.reach, settings.from_hz) = (share, from_hz);
            reach.follow(&settings);
            assert_eq!(reach, Reach::new(&settings, 48_000.0));
        }
    }
}
