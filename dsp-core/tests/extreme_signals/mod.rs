//! Extreme and invalid input signals.

#![allow(dead_code, missing_docs)]

use std::f64::consts::TAU;

/// A name and the signal: its value at a sample index and a sample rate, Hz.
pub type ExtremeSignal = (&'static str, fn(usize, f64) -> f32);

/// 24 dB over full scale.
const OVER: f32 = 16.0;
/// Ten per second at 48 kHz, not aligned to steps or hops.
const IMPULSE_EVERY: usize = 4801;

pub const EXTREME_SIGNALS: &[ExtremeSignal] = &[
    ("silence", |_, _| 0.0),
    ("direct current", |_, _| 1.0),
    ("full-scale square", square),
    ("square 24 dB over", |n, rate_hz| OVER * square(n, rate_hz)),
    ("noise 24 dB over", |n, _| OVER * noise(n)),
    ("tone 24 dB over", |n, rate_hz| {
        OVER * (TAU * 220.0 * n as f64 / rate_hz).sin() as f32
    }),
    ("NaN", |_, _| f32::NAN),
    ("infinities", |n, _| {
        if n % 2 == 0 {
            f32::INFINITY
        } else {
            f32::NEG_INFINITY
        }
    }),
    ("the largest numbers", |n, _| {
        if n % 3 == 0 { f32::MAX } else { f32::MIN }
    }),
    ("denormals", |n, _| 1e-40 * noise(n)),
    ("the smallest normal numbers", |n, _| 2e-38 * noise(n)),
    ("sweep", sweep),
    ("impulses", |n, _| impulse(n)),
    ("impulses 24 dB over", |n, _| OVER * impulse(n)),
    ("impulses of the largest number", |n, _| f32::MAX * impulse(n)),
    ("any bits", |n, _| {
        f32::from_bits((n as u32 ^ noise(n).to_bits()).wrapping_mul(0x85eb_ca6b))
    }),
];

fn square(n: usize, rate_hz: f64) -> f32 {
    if (n as f64 * 110.0 / rate_hz).fract() < 0.5 {
        1.0
    } else {
        -1.0
    }
}

fn impulse(n: usize) -> f32 {
    f32::from(u8::from(n.is_multiple_of(IMPULSE_EVERY)))
}

fn noise(n: usize) -> f32 {
    let hash = (n as u32).wrapping_mul(2_654_435_761) ^ 0x9e37_79b9;
    let hash = (hash ^ (hash >> 15)).wrapping_mul(2_246_822_519);
    ((hash ^ (hash >> 13)) >> 8) as f32 / 8_388_608.0 - 1.0
}

/// 1 Hz to half the sample rate in a second, at full scale.
fn sweep(n: usize, rate_hz: f64) -> f32 {
    let octaves = (rate_hz / 2.0).log2();
    let cycles = ((octaves * n as f64 / rate_hz).exp2() - 1.0) / (octaves * std::f64::consts::LN_2);
    (TAU * cycles).sin() as f32
}
