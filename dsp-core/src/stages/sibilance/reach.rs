//! Reach: how far down a reduction reaches, from the sibilant band alone to the whole voice.
//!
//! A depth in decibels is split between a high shelf and plain gain. As Reach rises the shelf's corner falls and plain
//! gain takes over, so that at every frequency the same depth takes more.

use crate::analysis::Spectrum;
use crate::primitives::decibels::{db_from_power, gain_from_db, power_from_db};
use crate::primitives::state_variable::warped;
use crate::settings::SibilanceSettings;
use crate::stages::sibilance::shelf::{ShelfShape, shelf_power_gain, shelf_shares};

/// The shelf's corner stays this far over `Detect from`, in warped frequency, at Reach 0: below `Detect from` the deepest
/// Range (24 dB) takes 0.4 dB at most. It falls by so many octaves until Reach is 1.
const OVER_FROM: Fall = Fall {
    highest: 1.34,
    octaves: 3.7,
};
/// The corner stays this far over the sibilant's own edge too, just under it at Reach 0, so that the reduction arrives:
/// whatever Reach is, a shelf far under the sibilant would only dull its neighbours.
const OVER_EDGE: Fall = Fall {
    highest: 0.95,
    octaves: 1.7,
};
/// Steps of the search for the depth: the reduction is so nearly proportional to the depth that three reach 0.05 dB.
const SEARCH_STEPS: usize = 3;

/// A ratio of frequencies that falls as Reach rises.
struct Fall {
    highest: f32,
    octaves: f32,
}

impl Fall {
    fn at(&self, reach: f32) -> f64 {
        f64::from(self.highest * (-self.octaves * reach).exp2())
    }
}

/// Gain of the sibilance stage at `frequency_hz`, dB, never positive, when far above its edge it is `depth_db` (not
/// positive) and the sibilant's own band begins at `edge_hz`: the curve that the filter has, in closed form.
#[must_use]
pub fn sibilance_gain_db(
    settings: &SibilanceSettings,
    (depth_db, edge_hz): (f32, f32),
    sample_rate_hz: f64,
    frequency_hz: f32,
) -> f32 {
    let reach = Reach::new(settings, sample_rate_hz);
    let (plain_db, shelf_db) = reach.split((-depth_db).max(0.0));
    let ratio = warped(f64::from(frequency_hz), sample_rate_hz) / reach.warped_corner(edge_hz);
    let power_gain = shelf_power_gain(ratio as f32, 10f32.powf(-shelf_db / 10.0));
    10.0 * power_gain.log10() - plain_db
}

/// A band's power, as it reaches a shelf.
#[derive(Debug, Clone, Copy, Default)]
struct ShelvedBand {
    left: f64,
    shelved: f64,
}

/// The split at one setting of Reach and `Detect from`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reach {
    plain_share: f32,
    lowest_warped_corner: f64,
    corner_over_edge: f64,
    sample_rate_hz: f64,
}

impl Reach {
    pub fn new(settings: &SibilanceSettings, sample_rate_hz: f64) -> Self {
        let reach = settings.reach;
        Self {
            plain_share: reach * reach,
            lowest_warped_corner: OVER_FROM.at(reach) * warped(f64::from(settings.from_hz), sample_rate_hz),
            corner_over_edge: OVER_EDGE.at(reach),
            sample_rate_hz,
        }
    }

    /// The shelf of a reduction of `depth_db` (positive) for a sibilant whose own band begins at `edge_hz`.
    pub fn shape(&self, depth_db: f32, edge_hz: f32) -> ShelfShape {
        let (plain_db, shelf_db) = self.split(depth_db);
        ShelfShape {
            warped_corner: self.warped_corner(edge_hz),
            root: gain_from_db(-0.25 * shelf_db),
            plain: gain_from_db(-plain_db),
        }
    }

    /// The depth that takes `asked_db` out of the band above `Detect from` of a sound of this spectrum: what the gain
    /// computer asked for arrives in the band, whatever the shelf leaves standing. Never more than Range, at any
    /// frequency: close to it a little less arrives.
    pub fn depth_db(
        &self,
        asked_db: f32,
        edge_hz: f32,
        spectrum: &Spectrum,
        settings: &SibilanceSettings,
    ) -> f32 {
        if asked_db <= 0.0 {
            return asked_db;
        }
        let band = self.shelved_band(edge_hz, spectrum, settings.from_hz);
        let mut depth_db = asked_db;
        for _ in 0..SEARCH_STEPS {
            let arrives_db = self.band_reduction_db(depth_db, &band);
            if arrives_db <= 0.0 {
                return asked_db;
            }
            depth_db = (depth_db * asked_db / arrives_db)
                .max(asked_db)
                .min(settings.range_db);
        }
        depth_db
    }

    /// What of the band above `from_hz` a shelf leaves, and what it takes down, whatever its depth.
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

    fn split(&self, depth_db: f32) -> (f32, f32) {
        let plain_db = depth_db * self.plain_share;
        (plain_db, depth_db - plain_db)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_curve_ends_at_the_depth_and_leaves_the_foot_alone_but_for_the_reach() {
        let at = |reach: f32, hz: f32| {
            let settings = SibilanceSettings {
                reach,
                ..SibilanceSettings::default()
            };
            sibilance_gain_db(&settings, (-12.0, 5000.0), 48_000.0, hz)
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
}
