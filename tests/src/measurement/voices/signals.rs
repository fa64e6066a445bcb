//! Plain test signals, the same in every run. They are no voices; they hold what a voice makes a plug-in do.

use std::f32::consts::TAU;
use std::ops::Range;

/// Fundamental of the vowel-like tone, Hz.
const PITCH_HZ: f32 = 180.0;
/// Centres of its formants, Hz: about those of an open vowel (Peterson & Barney 1952, from memory).
const FORMANTS_HZ: [f32; 3] = [700.0, 1200.0, 2600.0];
/// Width of the formants, Hz: common practice, no source.
const FORMANT_WIDTH_HZ: f32 = 120.0;
/// Centre and width of the sibilant-like noise, Hz: about an s (Jongman, Wayland & Wong 2000).
const SIBILANT_HZ: (f32, f32) = (6800.0, 2500.0);

/// White noise between -1 and 1, by a xorshift generator (Marsaglia 2003). The only source of chance in everything that is
/// measured: the singer, the conditions and thereby every published figure depend on its very numbers, so that no crate
/// stands in for it.
pub fn noise(seed: u64) -> impl Iterator<Item = f32> {
    let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
    std::iter::repeat_with(move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 40) as f32 / (1_u64 << 23) as f32 - 1.0
    })
}

/// A sine of peak 1 from phase 0 on.
pub fn sine(hz: f64, sample_rate_hz: f64, length: usize) -> Vec<f32> {
    let turns_per_sample = hz / sample_rate_hz;
    let samples = (0..length).map(|n| (std::f64::consts::TAU * turns_per_sample * n as f64).sin() as f32);
    samples.collect()
}

/// Half-second phrases of a vowel-like tone (0 to 300 ms), a sibilant-like noise (300 to 450 ms) and silence.
///
/// `vowel_peak` and `sibilant_peak` are about the peaks of the two, linear.
pub fn phrases(
    sample_rate_hz: f32,
    length: usize,
    seed: u64,
    vowel_peak: f32,
    sibilant_peak: f32,
) -> Vec<f32> {
    let harmonics = vowel_harmonics();
    let mut sibilant = resonance(noise(seed), sample_rate_hz, SIBILANT_HZ);
    (0..length)
        .map(|sample| {
            let seconds = sample as f32 / sample_rate_hz;
            let in_phrase = seconds % 0.5;
            let tone: f32 = harmonics
                .iter()
                .map(|(hz, amplitude)| amplitude * (TAU * (hz * seconds).fract()).sin())
                .sum();
            let hiss = sibilant.next().unwrap_or_default();
            vowel_peak * tone * hump(in_phrase, 0.0, 0.3) + sibilant_peak * hiss * hump(in_phrase, 0.3, 0.45)
        })
        .collect()
}

/// Frequencies and amplitudes whose sum peaks below 1.
fn vowel_harmonics() -> Vec<(f32, f32)> {
    let envelope = |hz: f32| -> f32 {
        FORMANTS_HZ
            .iter()
            .map(|formant_hz| 1.0 / (1.0 + ((hz - formant_hz) / FORMANT_WIDTH_HZ).powi(2)))
            .sum()
    };
    let partials: Vec<(f32, f32)> = (1..=20)
        .map(|number| PITCH_HZ * number as f32)
        .map(|hz| (hz, envelope(hz) / (hz / PITCH_HZ).sqrt()))
        .collect();
    let total: f32 = partials.iter().map(|(_, amplitude)| amplitude).sum();
    partials
        .into_iter()
        .map(|(hz, amplitude)| (hz, amplitude / total))
        .collect()
}

/// A two-pole resonance about `centre`, scaled to about the level of its input.
fn resonance(
    input: impl Iterator<Item = f32>,
    sample_rate_hz: f32,
    (centre_hz, width_hz): (f32, f32),
) -> impl Iterator<Item = f32> {
    let radius = (-TAU / 2.0 * width_hz / sample_rate_hz).exp();
    let feedback = 2.0 * radius * (TAU * centre_hz / sample_rate_hz).cos();
    let (mut once, mut twice) = (0.0, 0.0);
    input.map(move |sample| {
        let output = (1.0 - radius) * sample + feedback * once - radius * radius * twice;
        (once, twice) = (output, once);
        output
    })
}

/// 1 between `start` and `end`, with slopes of 5 ms inside.
fn hump(seconds: f32, start: f32, end: f32) -> f32 {
    const SLOPE_S: f32 = 0.005;
    ((seconds - start) / SLOPE_S)
        .min((end - seconds) / SLOPE_S)
        .clamp(0.0, 1.0)
}

/// The parts of `sound` that lie at `spans`, end to end.
pub fn parts(sound: &[f32], spans: impl IntoIterator<Item = Range<usize>>) -> Vec<f32> {
    let parts = spans.into_iter().flat_map(|span| &sound[span]);
    parts.copied().collect()
}

/// The highest sample without its sign.
pub fn peak(sound: &[f32]) -> f32 {
    sound.iter().fold(0.0, |peak, sample| sample.abs().max(peak))
}

/// Power of `sound` in dB re full scale, mean square.
pub fn power_db(sound: &[f32]) -> f64 {
    let sum: f64 = sound.iter().map(|&sample| f64::from(sample).powi(2)).sum();
    10.0 * (sum / sound.len() as f64).log10()
}
