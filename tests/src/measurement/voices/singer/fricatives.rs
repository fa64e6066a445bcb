//! Noise of the mouth: frication, bursts and breaths.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

use super::random::Random;
use crate::measurement::models::Biquad;

/// A noise: its spectrum and its level.
#[derive(Debug, Clone, Copy)]
pub struct Noise {
    /// The spectral peak, Hz.
    pub peak_hz: f64,
    /// Sharpness of the peak.
    pub quality: f64,
    /// Below this the spectrum falls by 24 dB an octave, Hz.
    pub low_hz: f64,
    /// Above this the spectrum falls by 12 dB an octave, Hz.
    pub high_hz: f64,
    /// Mean square level re the vowels, dB: of a breath re the voice of its section, of others at the anchor effort.
    pub level_db: f64,
    /// Onset and offset, ms.
    pub slopes_ms: [f64; 2],
}

const fn noise(peak_hz: f64, quality: f64, low_hz: f64, high_hz: f64, level_db: f64) -> Noise {
    Noise {
        peak_hz,
        quality,
        low_hz,
        high_hz,
        level_db,
        slopes_ms: [12.0, 14.0],
    }
}

/// Peaks and levels of Jongman, Wayland & Wong (2000); widths and skirts: common practice, no source.
pub const S: Noise = noise(6839.0, 2.2, 4200.0, 10_000.0, -11.0);
/// The noise of z alone: with its voice bar it has the published -9.0 dB.
pub const Z: Noise = noise(6839.0, 2.2, 4200.0, 10_000.0, -12.0);
/// As in "ship".
pub const SH: Noise = noise(3820.0, 2.2, 2300.0, 8000.0, -9.9);
/// The noise of zh alone: with its voice bar it has the published -8.3 dB.
pub const ZH: Noise = noise(3820.0, 2.2, 2300.0, 8000.0, -11.3);
/// As in "fish"; v has the same noise over a voice bar.
pub const F: Noise = noise(7733.0, 0.7, 1200.0, 12_000.0, -20.8);
/// As in "thin"; dh has the same noise over a voice bar.
pub const TH: Noise = noise(7470.0, 0.7, 1400.0, 11_000.0, -21.9);
/// The breathy h: common practice, no source.
pub const H: Noise = noise(1500.0, 0.8, 500.0, 4000.0, -20.0);
/// The burst of t: a short s with a sudden onset.
pub const T: Noise = Noise {
    slopes_ms: [2.0, 15.0],
    ..noise(6839.0, 1.8, 3500.0, 10_000.0, -11.0)
};
/// The burst of d: a t held back by the voice.
pub const D: Noise = Noise {
    slopes_ms: [2.0, 8.0],
    ..noise(4500.0, 1.0, 2000.0, 8000.0, -21.0)
};
/// The burst of p and b.
pub const P: Noise = Noise {
    slopes_ms: [2.0, 8.0],
    ..noise(900.0, 0.8, 300.0, 3000.0, -20.0)
};
/// The burst of k and g.
pub const K: Noise = Noise {
    slopes_ms: [2.0, 8.0],
    ..noise(1900.0, 1.5, 900.0, 4000.0, -19.0)
};
/// A breath (Nakano et al. 2008): peak at 1.6 to 1.7 kHz, falling above. The low-pass draws the peak down from the
/// centre that is named here; K-weighted it lies about 3 LU nearer to the voice.
pub const BREATH: Noise = Noise {
    slopes_ms: [80.0, 60.0],
    ..noise(1720.0, 1.6, 600.0, 4000.0, -30.0)
};

/// `length` samples of a noise whose mean square is `level_db`, slopes included.
pub fn render(
    noise: &Noise,
    level_db: f64,
    length: usize,
    sample_rate_hz: f64,
    random: &mut Random,
) -> Vec<f64> {
    let mut filters = filters(noise, sample_rate_hz);
    // The filters settle before the noise is heard.
    let settling = (0.01 * sample_rate_hz) as usize;
    let shaped: Vec<f64> = (0..settling + length)
        .map(|_| {
            filters
                .iter_mut()
                .fold(random.noise(), |sample, filter| filter.process(sample))
        })
        .skip(settling)
        .collect();
    let faded = fade(shaped, noise.slopes_ms, sample_rate_hz);
    let power = faded.iter().map(|sample| sample * sample).sum::<f64>() / length as f64;
    let gain = (10f64.powf(level_db / 10.0) / power).sqrt();
    faded.into_iter().map(|sample| gain * sample).collect()
}

fn filters(noise: &Noise, sample_rate_hz: f64) -> [Biquad; 4] {
    // A Butterworth filter of fourth order is two of second order with these two qualities.
    [
        Biquad::high_pass(noise.low_hz, 0.5412, sample_rate_hz),
        Biquad::high_pass(noise.low_hz, 1.3066, sample_rate_hz),
        Biquad::low_pass(noise.high_hz, FRAC_1_SQRT_2, sample_rate_hz),
        Biquad::band_pass(noise.peak_hz, noise.quality, sample_rate_hz),
    ]
}

/// Raised-cosine slopes inside both ends.
fn fade(mut sound: Vec<f64>, slopes_ms: [f64; 2], sample_rate_hz: f64) -> Vec<f64> {
    let length = sound.len();
    let [onset, offset] = slopes_ms.map(|ms| (ms * 1e-3 * sample_rate_hz).min(length as f64 / 2.0));
    for (index, sample) in sound.iter_mut().enumerate() {
        *sample *= raised_cosine((index as f64 + 0.5) / onset);
        *sample *= raised_cosine(((length - index) as f64 - 0.5) / offset);
    }
    sound
}

/// 0 at 0, 1 at 1 and beyond.
pub fn raised_cosine(position: f64) -> f64 {
    0.5 - 0.5 * (PI * position.clamp(0.0, 1.0)).cos()
}
