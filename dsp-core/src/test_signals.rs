//! Signals and measurements for unit tests.

use std::f64::consts::TAU;

use crate::primitives::frame::Frame;

/// White noise in -1 ... 1 from a seed.
pub fn white_noise(length: usize, seed: u32) -> Vec<f32> {
    let mut state = seed;
    (0..length)
        .map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 8) as f32 / 8_388_608.0 - 1.0
        })
        .collect()
}

/// Gain of a filter at a frequency, dB, from 8192 samples of the impulse response of the second channel.
pub fn response_db(frequency_hz: f64, sample_rate_hz: f64, mut filter: impl FnMut(Frame) -> Frame) -> f64 {
    let (mut real, mut imaginary) = (0.0, 0.0);
    for n in 0..8192 {
        let impulse = Frame::splat(if n == 0 { 1.0 } else { 0.0 });
        let y = filter(impulse).to_array()[1];
        let phase = TAU * frequency_hz * f64::from(n) / sample_rate_hz;
        real += y * phase.cos();
        imaginary += y * phase.sin();
    }
    10.0 * (real * real + imaginary * imaginary).log10()
}
