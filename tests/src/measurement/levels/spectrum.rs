//! Power over frequency, for pictures; and how much a level wanders at the pace of syllables.

use std::f64::consts::TAU;
use std::sync::Arc;

use realfft::{RealFftPlanner, RealToComplex};

/// Length of a frame, s: bins of some 10 Hz.
const FRAME_S: f64 = 0.085;
/// Width over which power is averaged, octaves.
const SMOOTHING_OCTAVES: f64 = 1.0 / 6.0;

/// Power, dB re full scale per bin, over frequency, Hz, ascending from the first bin above 0 Hz: overlapping frames
/// under a Hann window (Welch 1967), then the mean over 1/6 octave. The power of all bins before that mean adds up to
/// the mean square of the sound. Sound shorter than a frame of about 0.1 s is one frame of its own length.
pub fn spectrum_db(audio: &[f32], sample_rate_hz: f64) -> Vec<(f32, f32)> {
    let length = ((FRAME_S * sample_rate_hz) as usize).next_power_of_two();
    let bin_hz = sample_rate_hz / length as f64;
    smoothed(&bin_powers(audio, length))
        .into_iter()
        .enumerate()
        .skip(1)
        .map(|(index, power)| ((index as f64 * bin_hz) as f32, (10.0 * power.log10()) as f32))
        .collect()
}

/// Power about a frequency, dB, as [`spectrum_db`] has it.
#[cfg(test)]
pub fn power_at_db(audio: &[f32], sample_rate_hz: f64, hz: f64) -> f32 {
    let spectrum = spectrum_db(audio, sample_rate_hz);
    let bin = spectrum.iter().find(|bin| f64::from(bin.0) >= hz);
    bin.unwrap().1
}

/// Frequency of the greatest power, Hz.
#[cfg(test)]
pub fn peak_hz(audio: &[f32], sample_rate_hz: f64) -> f32 {
    let spectrum = spectrum_db(audio, sample_rate_hz);
    let peak = spectrum.iter().max_by(|one, other| one.1.total_cmp(&other.1));
    peak.unwrap().0
}

/// What turns frames of one length into the power of each bin: a Hann window and a Fourier transform, which may be longer.
pub struct FrameTransform {
    window: Vec<f64>,
    transform: Arc<dyn RealToComplex<f64>>,
    scale: f64,
}

impl FrameTransform {
    /// For frames of `frame_length` samples, filled up with silence to `transform_length`.
    pub fn new(frame_length: usize, transform_length: usize) -> Self {
        let window: Vec<f64> = (0..frame_length)
            .map(|n| 0.5 - 0.5 * (TAU * (n as f64 + 0.5) / frame_length as f64).cos())
            .collect();
        let window_power: f64 = window.iter().map(|weight| weight * weight).sum();
        Self {
            scale: 2.0 / (window_power * transform_length as f64),
            transform: RealFftPlanner::new().plan_fft_forward(transform_length),
            window,
        }
    }

    /// Samples in a frame.
    pub fn frame_length(&self) -> usize {
        self.window.len()
    }

    /// Power of each bin of one frame, from 0 Hz up to half of the sample rate.
    ///
    /// # Panics
    /// Never: the lengths are those of the plan.
    pub fn powers(&self, frame: &[f32]) -> Vec<f64> {
        let mut padded = self.transform.make_input_vec();
        for ((padded, &sample), weight) in padded.iter_mut().zip(frame).zip(&self.window) {
            *padded = f64::from(sample) * weight;
        }
        let mut bins = self.transform.make_output_vec();
        self.transform
            .process(&mut padded, &mut bins)
            .expect("lengths of the plan");
        bins.iter().map(|bin| self.scale * bin.norm_sqr()).collect()
    }
}

/// Mean power of each bin over all frames.
fn bin_powers(audio: &[f32], length: usize) -> Vec<f64> {
    let frame_length = audio.len().clamp(1, length);
    let transform = FrameTransform::new(frame_length, length);
    let frames: Vec<Vec<f64>> = audio
        .windows(frame_length)
        .step_by(frame_length.div_ceil(2))
        .map(|frame| transform.powers(frame))
        .collect();
    let mut powers = vec![0.0; length / 2 + 1];
    for frame in &frames {
        for (power, frame) in powers.iter_mut().zip(frame) {
            *power += frame / frames.len() as f64;
        }
    }
    powers
}

/// Each value's mean over the smoothing width about its frequency.
fn smoothed(powers: &[f64]) -> Vec<f64> {
    let half_width = 2_f64.powf(SMOOTHING_OCTAVES / 2.0);
    (0..powers.len())
        .map(|index| {
            let first = (index as f64 / half_width).round() as usize;
            let last = ((index as f64 * half_width).round() as usize).min(powers.len() - 1);
            let around = &powers[first..=last];
            around.iter().sum::<f64>() / around.len() as f64
        })
        .collect()
}

/// Mean square of what lies between two frequencies in a signal that is sampled at `rate_hz`: its mean is taken off, a
/// Hann window (Welch 1967) put on over its whole length. In the square of the signal's unit: for decibels, dB squared.
///
/// # Panics
/// Never: the lengths are those of the plan.
pub fn band_mean_square(signal: &[f32], rate_hz: f64, (low_hz, high_hz): (f64, f64)) -> f32 {
    let length = signal.len();
    let mean = signal.iter().map(|&value| f64::from(value)).sum::<f64>() / length.max(1) as f64;
    let transform = RealFftPlanner::<f64>::new().plan_fft_forward(length);
    let mut windowed = transform.make_input_vec();
    let mut window_power = 0.0;
    for (n, (windowed, &value)) in windowed.iter_mut().zip(signal).enumerate() {
        let weight = 0.5 - 0.5 * (TAU * (n as f64 + 0.5) / length as f64).cos();
        window_power += weight * weight;
        *windowed = weight * (f64::from(value) - mean);
    }
    let mut bins = transform.make_output_vec();
    transform
        .process(&mut windowed, &mut bins)
        .expect("lengths of the plan");
    let bin_hz = rate_hz / length as f64;
    let within = bins
        .iter()
        .enumerate()
        .filter(|(bin, _)| (low_hz..high_hz).contains(&(*bin as f64 * bin_hz)));
    let power: f64 = within.map(|(_, bin)| bin.norm_sqr()).sum();
    (2.0 * power / (window_power * length as f64)) as f32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::near;
    use crate::measurement::voices::signals::{noise, sine};

    const RATE_HZ: f64 = 48_000.0;

    #[test]
    fn white_noise_is_flat_and_adds_up_to_its_power() {
        let audio: Vec<f32> = noise(5).take(480_000).collect();
        let total: f64 = bin_powers(&audio, 4096).iter().sum();
        assert!((total * 3.0 - 1.0).abs() < 0.02, "mean square of 1/3: {total}");
        let per_bin_db = 10.0 * (total / 2048.0).log10() as f32;
        for (frequency_hz, power_db) in spectrum_db(&audio, RATE_HZ) {
            if (500.0..23_000.0).contains(&frequency_hz) {
                near(power_db, per_bin_db, 1.0, frequency_hz);
            }
        }
    }

    #[test]
    fn a_short_sine_peaks_at_its_frequency() {
        let peak_hz = peak_hz(&sine(6000.0, RATE_HZ, 1500), RATE_HZ);
        assert!((peak_hz - 6000.0).abs() < 400.0, "{peak_hz}");
    }

    #[test]
    fn a_slow_wave_counts_in_its_band_alone() {
        let wave: Vec<f32> = (0..7500)
            .map(|n| 3.0 + 2.0 * (std::f32::consts::TAU * 5.0 * n as f32 / 750.0).sin())
            .collect();
        let within = band_mean_square(&wave, 750.0, (2.0, 8.0));
        assert!((within - 2.0).abs() < 0.01, "{within}");
        let beside = band_mean_square(&wave, 750.0, (8.0, 50.0));
        assert!(beside < 1e-3, "{beside}");
    }
}
