//! The same reduction by a shelf whose edge stays at `Detect from`, in closed form.

use std::f64::consts::PI;
use std::ops::Range;

use super::PowerSpectrum;

/// The corner over `Detect from`, and over the sibilant's edge, at Reach 0, and how many octaves each falls until Reach
/// 100 %: as the developers' page documents it. The higher corner counts.
const CORNERS: [(f64, f64); 2] = [(1.34, 3.7), (0.95, 1.7)];
/// Halvings of the search for the depth: to a thousandth of a decibel.
const HALVINGS: usize = 16;
const DEEPEST_DB: f64 = 60.0;

/// A fourth-order Butterworth shelf with plain gain, as Reach splits a reduction between them.
#[derive(Debug, Clone, Copy)]
pub struct FixedShelf {
    /// `Detect from`, Hz: the edge.
    pub from_hz: f64,
    /// Reach, 0 ... 1.
    pub reach: f64,
    /// Sample rate, Hz.
    pub sample_rate_hz: f64,
}

impl FixedShelf {
    /// What a band of a sound loses when the band above `from_hz` loses `taken_db`, dB.
    pub fn lost_db(&self, spectrum: &PowerSpectrum, taken_db: f64, band: &Range<f64>) -> f64 {
        let (mut low_db, mut high_db) = (0.0, DEEPEST_DB);
        for _ in 0..HALVINGS {
            let depth_db = 0.5 * (low_db + high_db);
            if self.band_loss_db(spectrum, depth_db, &(self.from_hz..f64::INFINITY)) > taken_db {
                high_db = depth_db;
            } else {
                low_db = depth_db;
            }
        }
        self.band_loss_db(spectrum, 0.5 * (low_db + high_db), band)
    }

    fn band_loss_db(&self, spectrum: &PowerSpectrum, depth_db: f64, band: &Range<f64>) -> f64 {
        let (before, after) =
            spectrum
                .within(band)
                .fold((0.0, 0.0), |(before, after), (frequency_hz, power)| {
                    (
                        before + power,
                        after + power * self.power_gain(frequency_hz, depth_db),
                    )
                });
        10.0 * (before / after).log10()
    }

    fn power_gain(&self, frequency_hz: f64, depth_db: f64) -> f64 {
        let warped = |hz: f64| (PI * (hz / self.sample_rate_hz).min(0.49)).tan();
        let over_from = CORNERS.map(|(highest, octaves)| highest * (-octaves * self.reach).exp2());
        let corner = warped(self.from_hz) * over_from[0].max(over_from[1]);
        let plain_db = depth_db * self.reach * self.reach;
        let far = 10f64.powf((plain_db - depth_db) / 10.0);
        let eighth = (warped(frequency_hz) / corner).powi(8);
        10f64.powf(-plain_db / 10.0) * (1.0 + far * eighth) / (1.0 + eighth)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::signals::noise;

    #[test]
    fn plain_gain_takes_the_same_everywhere_and_a_shelf_less_below_its_edge() {
        let white: Vec<f32> = noise(4).take(24_000).collect();
        let spectrum = PowerSpectrum::new(&white, 48_000.0);
        let lost_db = |reach: f64| {
            let shelf = FixedShelf {
                from_hz: 4000.0,
                reach,
                sample_rate_hz: 48_000.0,
            };
            shelf.lost_db(&spectrum, 6.0, &(500.0..2000.0))
        };
        assert!((lost_db(1.0) - 6.0).abs() < 0.01, "{}", lost_db(1.0));
        assert!((0.0..0.6).contains(&lost_db(0.25)), "{}", lost_db(0.25));
        assert!((0.0..0.01).contains(&lost_db(0.0)), "{}", lost_db(0.0));
    }
}
