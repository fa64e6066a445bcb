//! Steady programmes whose spectrum has gaps, and what sounds in the gaps when something moves: clicks.

#![allow(dead_code, missing_docs)]

use realfft::{RealFftPlanner, RealToComplex};
use std::f64::consts::{PI, TAU};
use std::ops::Range;
use std::sync::Arc;

use crate::signals::{Noise, vowel};

pub const RATE_HZ: f64 = 48_000.0;
/// Samples that a window of measurement spans: 171 ms.
const WINDOW_SAMPLES: usize = 8192;
/// From window to window: the worst is the measure, wherever a click lies in it.
const STRIDE_SAMPLES: usize = 1024;

/// A sound that goes on unchanged, after a start in which the voice becomes known.
pub struct Programme {
    pub name: &'static str,
    /// One vector a channel, each another share of the same sound.
    pub audio: Vec<Vec<f32>>,
    /// Where it sounds; everywhere else a click would show.
    pub bands_hz: &'static [(f64, f64)],
    /// From here on it is steady.
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

/// A vowel for 1 s, then a sibilant out of tones at multiples of the hop's rate, so that each hop holds the same: what
/// moves is moved by settings alone.
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

/// A vowel for 1 s, then a breath out of many tones that fall by 6 dB an octave.
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
        // The eighth power of a sine: nothing of a tone is left further than a few dozen hertz from it.
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

    /// Power of the window that starts at `start`, all of it and what lies in the gaps.
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

    /// What the gaps hold more of in `moved` than in either of two runs at rest, relative to the mean power of those
    /// two, dB: the worst window of those that touch `span`.
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
