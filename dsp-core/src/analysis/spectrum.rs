//! Short-time spectrum of the input: K-weighted power per bin, once per hop.

use super::band::Band;
use super::transform::WindowTransform;
use crate::clock::timing::Timing;
use crate::loudness::k_weighting::KWeighting;
use crate::primitives::state_variable::warped;

/// Collects samples and computes the spectrum of each hop.
pub(crate) struct SpectrumAnalyser {
    timing: Timing,
    transform: WindowTransform,
    window: Vec<f32>,
    histories: Vec<Vec<f32>>,
    filled_samples: usize,
    weights: Vec<f32>,
    spectrum: Spectrum,
}

/// K-weighted mean square per bin, summed over channels (BS.1770 with unit channel weights).
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Spectrum {
    bin_hz: f64,
    powers: Vec<f32>,
    /// `tan(pi f / fs)` of each bin.
    warped: Vec<f32>,
}

impl Spectrum {
    /// Width of a bin, Hz.
    pub fn bin_hz(&self) -> f64 {
        self.bin_hz
    }

    /// K-weighted mean square per bin.
    pub fn powers(&self) -> &[f32] {
        &self.powers
    }

    /// The same bins, to be filled with other powers.
    pub fn powers_mut(&mut self) -> &mut [f32] {
        &mut self.powers
    }

    /// Power in a band.
    pub fn power(&self, band: &Band) -> f64 {
        f64::from(band.sum(&self.powers))
    }

    /// The bins from `from_hz` up, two merged into one, as pairs of warped frequency `tan(pi f / fs)` and power.
    pub fn pairs_from(&self, from_hz: f32) -> impl Iterator<Item = (f32, f32)> {
        let first = self.bin_at(from_hz);
        self.warped[first..]
            .chunks(2)
            .zip(self.powers[first..].chunks(2))
            .map(|(warped, powers)| (warped[0], powers.iter().sum()))
    }

    /// The frequency below which the given share of the power above `from_hz` lies, Hz; `None` in silence.
    pub fn quantile_hz(&self, from_hz: f32, share: f32) -> Option<f32> {
        let powers = &self.powers[self.bin_at(from_hz)..];
        let wanted = share * powers.iter().sum::<f32>();
        let mut below = 0.0;
        for (bin, &power) in powers.iter().enumerate() {
            if power > 0.0 && below + power >= wanted {
                let bins = bin as f32 + (wanted - below) / power;
                return Some(from_hz + bins * self.bin_hz as f32);
            }
            below += power;
        }
        None
    }

    /// The first bin whose centre is at `from_hz` or above.
    fn bin_at(&self, from_hz: f32) -> usize {
        ((f64::from(from_hz) / self.bin_hz).ceil() as usize).min(self.powers.len())
    }
}

#[cfg(test)]
use std::ops::Range;

#[cfg(test)]
impl Spectrum {
    /// A spectrum at 48 kHz with power in two bands only.
    pub fn of_two_bands(low_hz: Range<f64>, low: f64, high_hz: Range<f64>, high: f64) -> Self {
        let bin_hz = 187.5;
        let bins = |band: &Range<f64>| {
            (0..=128)
                .filter(|&bin| band.contains(&(f64::from(bin) * bin_hz)))
                .count() as f64
        };
        let (low, high) = (low / bins(&low_hz), high / bins(&high_hz));
        let power = |hz: f64| {
            low * f64::from(u8::from(low_hz.contains(&hz)))
                + high * f64::from(u8::from(high_hz.contains(&hz)))
        };
        Self {
            bin_hz,
            powers: (0..=128)
                .map(|bin| power(f64::from(bin) * bin_hz) as f32)
                .collect(),
            warped: vec![0.0; 129],
        }
    }
}

impl SpectrumAnalyser {
    pub fn new(channels: usize, timing: Timing, weighting: &KWeighting) -> Self {
        let size = timing.window_samples;
        let window: Vec<f32> = (0..size)
            .map(|n| {
                (std::f64::consts::PI * (n as f64 + 0.5) / size as f64)
                    .sin()
                    .powi(2) as f32
            })
            .collect();
        let window_power: f32 = window.iter().map(|w| w * w).sum();
        let bin_hz = timing.bin_hz();
        let one_sided = 2.0 / (size as f32 * window_power);
        let weights = (0..=size / 2)
            .map(|bin| one_sided * weighting.power_gain(bin as f64 * bin_hz, timing.sample_rate_hz) as f32)
            .collect();
        Self {
            histories: vec![vec![0.0; size]; channels],
            filled_samples: 0,
            spectrum: Spectrum {
                bin_hz,
                powers: vec![0.0; size / 2 + 1],
                warped: (0..=size / 2)
                    .map(|bin| warped(bin as f64 * bin_hz, timing.sample_rate_hz) as f32)
                    .collect(),
            },
            timing,
            transform: WindowTransform::new(channels, size),
            window,
            weights,
        }
    }

    pub fn reset(&mut self) {
        self.histories.iter_mut().for_each(|history| history.fill(0.0));
        self.spectrum.powers.fill(0.0);
        self.filled_samples = 0;
    }

    /// Continues as if the current hop had begun `into_hop_samples` ago; the newest samples are kept.
    pub fn align_hop(&mut self, into_hop_samples: usize) {
        for history in &mut self.histories {
            slide(history, self.filled_samples, into_hop_samples);
        }
        self.filled_samples = into_hop_samples;
    }

    /// Adds samples; they must not reach beyond the end of the current hop.
    pub fn push(&mut self, audio: &[&mut [f32]]) {
        let start = self.timing.window_samples - self.timing.hop_samples + self.filled_samples;
        for (history, channel) in self.histories.iter_mut().zip(audio) {
            history[start..start + channel.len()].copy_from_slice(channel);
        }
        self.filled_samples += audio.first().map_or(0, |channel| channel.len());
    }

    /// The samples of the completed hop after `before_samples` of what came before, one slice per channel.
    pub fn newest_hop(&self, before_samples: usize) -> impl Iterator<Item = &[f32]> {
        let start = self.timing.window_samples - self.timing.hop_samples - before_samples;
        self.histories.iter().map(move |history| &history[start..])
    }

    /// The samples of the step that ends `into_hop_samples` after the start of the current hop, one slice per channel.
    pub fn step(&self, into_hop_samples: usize) -> impl Iterator<Item = &[f32]> {
        let end = self.timing.window_samples - self.timing.hop_samples + into_hop_samples;
        let start = end - self.timing.step_samples;
        self.histories.iter().map(move |history| &history[start..end])
    }

    /// The whole window that ends with the completed hop, one slice per channel.
    pub fn window(&self) -> impl Iterator<Item = &[f32]> {
        self.histories.iter().map(Vec::as_slice)
    }

    /// Computes the spectrum of the window that ends with the completed hop.
    #[inline(always)]
    pub fn analyse(&mut self) -> &Spectrum {
        self.transform.powers(
            &self.histories,
            &self.window,
            &self.weights,
            &mut self.spectrum.powers,
        );
        for history in &mut self.histories {
            history.copy_within(self.timing.hop_samples.., 0);
        }
        self.filled_samples = 0;
        &self.spectrum
    }

    /// The spectrum of the last window.
    pub fn last(&self) -> &Spectrum {
        &self.spectrum
    }
}

/// Shifts samples by `to - from` places towards the end; silence fills the start.
fn slide(history: &mut [f32], from: usize, to: usize) {
    let length = history.len();
    if to > from {
        history.copy_within(..length - (to - from), to - from);
        history[..to - from].fill(0.0);
    } else {
        history.copy_within(from - to.., 0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::primitives::decibels::lufs_from_power;

    #[test]
    fn a_tone_reads_its_loudness_in_its_band_on_either_channel() {
        for (rate_hz, channel) in [(44_100.0, 0), (48_000.0, 1), (192_000.0, 0)] {
            let timing = Timing::new(rate_hz);
            let mut analyser = SpectrumAnalyser::new(2, timing, &KWeighting::new(rate_hz));
            let tone = |n: usize| (std::f64::consts::TAU * 997.0 * n as f64 / rate_hz).sin() as f32;
            for hop in 0..8 {
                let mut pair = [vec![0.0; timing.hop_samples], vec![0.0; timing.hop_samples]];
                for (n, sample) in pair[channel].iter_mut().enumerate() {
                    *sample = tone(hop * timing.hop_samples + n);
                }
                let [left, right] = &mut pair;
                analyser.push(&[left, right]);
                analyser.analyse();
            }
            // ITU-R BS.1770-5: 997 Hz at full scale in one channel reads -3.01 LKFS.
            let in_band = lufs_from_power(analyser.spectrum.power(&Band::new(timing, 200.0..3000.0)));
            let above = lufs_from_power(analyser.spectrum.power(&Band::new(timing, 4000.0..24_000.0)));
            assert!((in_band + 3.01).abs() < 0.2, "{in_band} LUFS");
            assert!(above < -60.0, "{above} LUFS");
        }
    }
}
