//! The band in which a sibilant's own noise lies.

use std::ops::Range;

use crate::measurement::levels::spectrum_db;

/// Power over frequency of a stretch of sound.
#[derive(Debug, Clone)]
pub struct PowerSpectrum {
    /// Frequency in Hz and power, ascending.
    bins: Vec<(f64, f64)>,
}

impl PowerSpectrum {
    /// Of a sound, smoothed over 1/6 octave.
    pub fn new(audio: &[f32], sample_rate_hz: f64) -> Self {
        let bins = spectrum_db(audio, sample_rate_hz)
            .into_iter()
            .map(|(frequency_hz, power_db)| {
                (f64::from(frequency_hz), 10f64.powf(f64::from(power_db) / 10.0))
            });
        Self { bins: bins.collect() }
    }

    /// The bins within a band, as frequency in Hz and power.
    pub fn within(&self, band: &Range<f64>) -> impl Iterator<Item = (f64, f64)> {
        self.bins
            .iter()
            .copied()
            .filter(move |(frequency_hz, _)| band.contains(frequency_hz))
    }

    /// Level of a band, dB re full scale.
    pub fn level_db(&self, band: &Range<f64>) -> f64 {
        10.0 * self.within(band).map(|(_, power)| power).sum::<f64>().log10()
    }
}

/// Sibilant noise peaks in here (Jongman, Wayland & Wong 2000: means of 3.8 and 6.8 kHz), Hz.
const PEAKS_HZ: Range<f64> = 2000.0..12_000.0;
/// The band ends where the spectrum has fallen this far below its peak, dB.
const FALL_DB: f64 = 10.0;

/// Where the noise of a sibilant's spectrum begins, Hz: from the peak down to where it has fallen by 10 dB. None where it
/// never does.
pub fn own_from_hz(spectrum: &PowerSpectrum) -> Option<f64> {
    let (peak_hz, peak) = spectrum
        .within(&PEAKS_HZ)
        .max_by(|one, two| one.1.total_cmp(&two.1))?;
    let floor = peak * 10f64.powf(-FALL_DB / 10.0);
    let below: Vec<_> = spectrum.within(&(0.0..peak_hz)).collect();
    let fallen = below.iter().rev().find(|(_, power)| *power < floor);
    fallen.map(|(hz, _)| *hz)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::signals::noise;

    #[test]
    fn a_band_of_noise_begins_where_its_filter_lets_it() {
        let rate_hz = 48_000.0;
        let white: Vec<f32> = noise(3).take(24_000).collect();
        let bright = crate::measurement::levels::above(&white, rate_hz, 5000.0);
        let from_hz = |sound: &[f32]| own_from_hz(&PowerSpectrum::new(sound, rate_hz));
        let own = from_hz(&bright).unwrap();
        assert!((4000.0..5000.0).contains(&own), "{own}");
        assert_eq!(from_hz(&white), None);
    }
}
