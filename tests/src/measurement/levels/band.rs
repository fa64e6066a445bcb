//! The part of a sound above a frequency.

use std::f64::consts::PI;

use realfft::RealFftPlanner;

/// Width of the edge of the band, Hz: its ringing dies within some 20 ms, and no formant hides in it.
const EDGE_HZ: f64 = 100.0;
/// Silence after the sound, so that the end does not ring into the start, s.
const PADDING_S: f64 = 0.1;

/// The sound above `from_hz` in linear phase and without delay: one Fourier transform of the whole, with a
/// raised-cosine edge of 100 Hz about `from_hz`.
pub fn above(audio: &[f32], sample_rate_hz: f64, from_hz: f64) -> Vec<f32> {
    let length = (audio.len() + (PADDING_S * sample_rate_hz) as usize).next_power_of_two();
    let mut planner = RealFftPlanner::<f64>::new();
    let forward = planner.plan_fft_forward(length);
    let inverse = planner.plan_fft_inverse(length);

    let mut padded = forward.make_input_vec();
    for (padded, &sample) in padded.iter_mut().zip(audio) {
        *padded = f64::from(sample);
    }
    let mut bins = forward.make_output_vec();
    forward
        .process(&mut padded, &mut bins)
        .expect("lengths of the plan");

    let bin_hz = sample_rate_hz / length as f64;
    for (index, bin) in bins.iter_mut().enumerate() {
        *bin *= edge(index as f64 * bin_hz - from_hz) / length as f64;
    }
    inverse
        .process(&mut bins, &mut padded)
        .expect("lengths of the plan");
    padded[..audio.len()]
        .iter()
        .map(|&sample| sample as f32)
        .collect()
}

/// Gain at `beyond_hz` above the edge's middle: 0 below, 1 above, half a cosine between.
fn edge(beyond_hz: f64) -> f64 {
    let within = (beyond_hz / EDGE_HZ + 0.5).clamp(0.0, 1.0);
    0.5 - 0.5 * (PI * within).cos()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::residual_db;

    const RATE_HZ: f64 = 48_000.0;

    /// A sine that fades in and out, so that its spectrum is narrow.
    fn tone(frequency_hz: f64) -> Vec<f32> {
        let length = RATE_HZ as usize;
        (0..length)
            .map(|n| {
                let fade = (PI * n as f64 / length as f64).sin().powi(2);
                (fade * (2.0 * PI * frequency_hz * n as f64 / RATE_HZ).sin()) as f32
            })
            .collect()
    }

    #[test]
    fn passes_what_lies_above_unchanged_and_nothing_below() {
        let (low, high) = (tone(3900.0), tone(4100.0));
        let both: Vec<f32> = low.iter().zip(&high).map(|(low, high)| low + high).collect();
        let residual_db = residual_db(&high, &above(&both, RATE_HZ, 4000.0));
        assert!(residual_db < -100.0, "{residual_db} dB");
    }

    #[test]
    fn halves_the_middle_of_the_edge() {
        let middle = tone(4000.0);
        let halved: Vec<f32> = middle.iter().map(|sample| 0.5 * sample).collect();
        let residual_db = residual_db(&halved, &above(&middle, RATE_HZ, 4000.0));
        assert!(residual_db < -30.0, "{residual_db} dB");
    }
}
