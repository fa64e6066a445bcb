//! Reach: how far down a reduction reaches, from the sibilant band alone to the whole voice.
//!
//! A depth in decibels is split between a high shelf and plain gain. As Reach rises the shelf's corner falls and plain
//! gain takes over, so that at every frequency the reduction only grows.

use crate::analysis::Spectrum;
use crate::decibels::gain_from_db;
use crate::settings::SibilanceSettings;
use crate::state_variable::{Coefficients, high_shelf_power_gain, warped};

/// The corner at Reach 0, above `Detect from`: little of the shelf's skirt is left below the edge.
const HIGHEST_CORNER_OCTAVES: f32 = 0.5;
/// How far the corner falls until Reach is 1. At the default of 25 % it lies an octave below `Detect from`, so that sh
/// at 3.8 kHz (Jongman, Wayland & Wong 2000) lies on the shelf.
const CORNER_FALL_OCTAVES: f32 = 6.0;
/// Bins that are taken together where the shelf's curve is weighed: 750 Hz at 48 kHz, fine against its slope.
const GROUP_BINS: usize = 4;
/// Steps of the search for the depth: the reduction is so nearly proportional to the depth that two reach 0.05 dB.
const SEARCH_STEPS: usize = 2;

/// The split at one setting of Reach and `Detect from`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Reach {
    plain_share: f32,
    warped_corner: f64,
    sample_rate_hz: f64,
}

impl Reach {
    pub fn new(settings: &SibilanceSettings, sample_rate_hz: f64) -> Self {
        let octaves = HIGHEST_CORNER_OCTAVES - CORNER_FALL_OCTAVES * settings.reach;
        Self {
            plain_share: settings.reach * settings.reach,
            warped_corner: warped(f64::from(settings.from_hz * octaves.exp2()), sample_rate_hz),
            sample_rate_hz,
        }
    }

    /// The filter of a reduction of `depth_db` (positive) far above the corner.
    pub fn filter(&self, depth_db: f32) -> Coefficients {
        let (plain_db, shelf_db) = self.split(depth_db);
        let mut filter = Coefficients::high_shelf(self.warped_corner, f64::from(-shelf_db));
        let plain = gain_from_db(-plain_db);
        filter.mix.iter_mut().for_each(|mix| *mix *= plain);
        filter
    }

    /// The depth that takes `asked_db` out of the band above `from_hz` of a sound of this spectrum: what the gain
    /// computer asked for arrives in the band, whatever the shelf's slope leaves standing. Never more than Range, at any
    /// frequency: close to it a little less arrives.
    pub fn depth_db(&self, asked_db: f32, spectrum: &Spectrum, settings: &SibilanceSettings) -> f32 {
        let mut depth_db = asked_db;
        for _ in 0..SEARCH_STEPS {
            let arrives_db = self.band_reduction_db(depth_db, spectrum, settings.from_hz);
            if asked_db <= 0.0 || arrives_db <= 0.0 {
                return asked_db;
            }
            depth_db = (depth_db * asked_db / arrives_db)
                .max(asked_db)
                .min(settings.range_db);
        }
        depth_db
    }

    fn band_reduction_db(&self, depth_db: f32, spectrum: &Spectrum, from_hz: f32) -> f32 {
        let (plain_db, shelf_db) = self.split(depth_db);
        let root = 10f32.powf(-shelf_db / 40.0);
        let (mut before, mut after) = (0.0, 0.0);
        for (frequency_hz, power) in spectrum.groups_from(f64::from(from_hz), GROUP_BINS) {
            let ratio = warped(f64::from(frequency_hz), self.sample_rate_hz) / self.warped_corner;
            before += power;
            after += power * high_shelf_power_gain(ratio as f32, root);
        }
        if after > 0.0 {
            plain_db + 10.0 * (before / after).log10()
        } else {
            depth_db
        }
    }

    fn split(&self, depth_db: f32) -> (f32, f32) {
        let plain_db = depth_db * self.plain_share;
        (plain_db, depth_db - plain_db)
    }
}
