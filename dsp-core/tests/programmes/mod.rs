//! Steady programmes with gaps in their spectrum, and the measurement of clicks in these gaps.

#![allow(dead_code, missing_docs)]

use realfft::{RealFftPlanner, RealToComplex};
use std::f64::consts::{PI, TAU};
use std::ops::Range;
use std::sync::Arc;

use crate::signals::{Noise, vowel};

pub const RATE_HZ: f64 = 48_000.0;
/// Samples per measurement window: 171 ms.
const WINDOW_SAMPLES: usize = 8192;
/// Samples from one window to the next; the worst window counts.
const STRIDE_SAMPLES: usize = 1024;

/// A steady sound after an introduction from which the voice level is found.
pub struct Programme {
    pub name: &'static str,
    /// One vector per channel: the same signal with different gains.
    pub audio: Vec<Vec<f32>>,
    /// The bands of the programme; energy elsewhere is a click.
    pub bands_hz: &'static [(f64, f64)],
    /// The first steady sample.
    pub steady_from: usize,
}

/// A tone of 1 kHz, -12 dBFS RMS.
pub fn tone(length: usize) -> Programme {
    let audio = (0..length)
        .map(|n| 0.355 * (TAU * 1000.0 * n as f64 / RATE_HZ).sin())
        .collect();
    Programme {
        name: "tone",
        audio: stereo(audio),
        bands_hz: &[(500.0, 2000.0)],
        steady_from: 48_000,
    }
}

/// A vowel of 1 s, then a sibilant made of tones at multiples of the hop rate. All hops are alike, so only settings change the
/// gain.
pub fn sibilant(length: usize) -> Programme {
    let start = 48_000;
    let mut audio = vowel(start, 187.5, -22.0, RATE_HZ);
    audio.extend((start..length).map(|n| {
        let tone = |multiple: f64, phase: f64| (TAU * 750.0 * multiple * n as f64 / RATE_HZ + phase).sin();
        let high: f64 = (7..=12)
            .map(|multiple| tone(f64::from(multiple), f64::from(multiple * multiple)))
            .sum();
        0.08 * high + 0.0014 * tone(1.0, 0.0)
    }));
    Programme {
        name: "sibilant",
        audio: stereo(audio),
        bands_hz: &[(250.0, 1500.0), (4600.0, 9750.0)],
        steady_from: 60_000,
    }
}

/// A vowel of 1 s, then a breath made of many tones with a slope of -6 dB per octave.
pub fn breath(length: usize) -> Programme {
    let start = 48_000;
    let mut noise = Noise::new(77);
    let mut audio = vowel(start, 187.5, -20.0, RATE_HZ);
    let tones: Vec<(f64, f64, f64)> = (0..240)
        .map(|index| {
            let frequency_hz = 500.0 + 4000.0 * (f64::from(index) + 0.5 * noise.sample()) / 240.0;
            (frequency_hz, PI * noise.sample(), 1.0 / frequency_hz)
        })
        .collect();
    audio.extend((start..length).map(|n| {
        let t = n as f64 / RATE_HZ;
        let sum: f64 = tones
            .iter()
            .map(|(f, phase, level)| level * (TAU * f * t + phase).sin())
            .sum();
        1.5 * sum
    }));
    Programme {
        name: "breath",
        audio: stereo(audio),
        bands_hz: &[(20.0, 5200.0)],
        steady_from: 72_000,
    }
}

fn stereo(signal: Vec<f64>) -> Vec<Vec<f32>> {
    [1.0, -0.6]
        .map(|share| signal.iter().map(|x| (share * x) as f32).collect())
        .to_vec()
}

/// Power inside and outside the bands of a programme.
pub struct Gaps {
    fft: Arc<dyn RealToComplex<f64>>,
    taper: Vec<f64>,
    inside: Vec<bool>,
}

impl Gaps {
    pub fn new(bands_hz: &[(f64, f64)]) -> Self {
        // The eighth power of a sine: a tone leaks no further than a few dozen hertz.
        let taper = (0..WINDOW_SAMPLES)
            .map(|n| (PI * (n as f64 + 0.5) / WINDOW_SAMPLES as f64).sin().powi(8))
            .collect();
        let inside = (0..=WINDOW_SAMPLES / 2)
            .map(|bin| {
                let frequency_hz = bin as f64 * RATE_HZ / WINDOW_SAMPLES as f64;
                bands_hz
                    .iter()
                    .any(|&(from, to)| (from..to).contains(&frequency_hz))
            })
            .collect();
        Self {
            fft: RealFftPlanner::new().plan_fft_forward(WINDOW_SAMPLES),
            taper,
            inside,
        }
    }

    /// The power of the window at `start`: total, and in the gaps.
    fn powers(&self, signal: &[f32], start: usize) -> (f64, f64) {
        let mut windowed: Vec<f64> = signal[start..start + WINDOW_SAMPLES]
            .iter()
            .zip(&self.taper)
            .map(|(&x, w)| f64::from(x) * w)
            .collect();
        let mut bins = self.fft.make_output_vec();
        self.fft.process(&mut windowed, &mut bins).expect("sizes fit");
        let outside = bins
            .iter()
            .zip(&self.inside)
            .filter(|(_, inside)| !**inside)
            .map(|(bin, _)| bin.norm_sqr())
            .sum();
        (bins.iter().map(|bin| bin.norm_sqr()).sum(), outside)
    }

    /// The excess power of `moved` in the gaps over two runs with constant settings, relative to their mean power, dB. The worst
    /// window that touches `span` counts.
    pub fn click_db(&self, moved: &[f32], resting: [&[f32]; 2], span: Range<usize>) -> f64 {
        let ratio = (span.start - WINDOW_SAMPLES / 2..span.end)
            .step_by(STRIDE_SAMPLES)
            .map(|start| {
                let [before, after] = resting.map(|signal| self.powers(signal, start));
                let excess = self.powers(moved, start).1 - before.1.max(after.1);
                excess / (0.5 * (before.0 + after.0) + 1e-30)
            })
            .fold(0.0, f64::max);
        10.0 * (ratio + 1e-30).log10()
    }
}
