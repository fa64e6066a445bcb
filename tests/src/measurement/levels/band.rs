//! The part of a sound above a frequency, and its level over many short stretches.

use std::f64::consts::PI;
use std::ops::Range;

use realfft::RealFftPlanner;
use realfft::num_complex::Complex;

use super::loudness::{k_weighted, lufs};

/// Width of the edge of the band, Hz: its ringing dies within some 20 ms, and no formant hides in it.
const EDGE_HZ: f64 = 100.0;
/// Silence after the sound, so that the end does not ring into the start, s.
const PADDING_S: f64 = 0.1;

/// The sound above `from_hz` in linear phase and without delay: one Fourier transform of the whole, with a
/// raised-cosine edge of 100 Hz about `from_hz`.
pub fn above(audio: &[f32], sample_rate_hz: f64, from_hz: f64) -> Vec<f32> {
    let length = (audio.len() + (PADDING_S * sample_rate_hz) as usize).next_power_of_two();
    let mut bins = transform(audio, length);
    let bin_hz = sample_rate_hz / length as f64;
    for (index, bin) in bins.iter_mut().enumerate() {
        // 0 below the edge, 1 above it, half a cosine between.
        let within = ((index as f64 * bin_hz - from_hz) / EDGE_HZ + 0.5).clamp(0.0, 1.0);
        *bin *= (0.5 - 0.5 * (PI * within).cos()) / length as f64;
    }
    inverse_transform(bins, length, audio.len())
}

/// The Fourier transform of a whole sound, filled up with silence to `length`.
pub(crate) fn transform(sound: &[f32], length: usize) -> Vec<Complex<f64>> {
    let forward = RealFftPlanner::new().plan_fft_forward(length);
    let mut padded = forward.make_input_vec();
    for (padded, &sample) in padded.iter_mut().zip(sound) {
        *padded = f64::from(sample);
    }
    let mut bins = forward.make_output_vec();
    forward
        .process(&mut padded, &mut bins)
        .expect("lengths of the plan");
    bins
}

/// The first `samples` of the inverse transform, not scaled.
pub(crate) fn inverse_transform(mut bins: Vec<Complex<f64>>, length: usize, samples: usize) -> Vec<f32> {
    let inverse = RealFftPlanner::new().plan_fft_inverse(length);
    let mut sound = inverse.make_output_vec();
    inverse
        .process(&mut bins, &mut sound)
        .expect("lengths of the plan");
    sound[..samples].iter().map(|&sample| sample as f32).collect()
}

/// What is cut out on either side of a stretch, s: the band's edge has rung by then.
const MARGIN_S: f64 = 0.05;

/// K-weighted level of what lies above `from_hz` over each stretch, LUFS; minus infinity where a stretch is silent or
/// beyond the sound.
pub fn band_lufs(audio: &[f32], sample_rate_hz: f64, spans: &[Range<usize>], from_hz: f64) -> Vec<f32> {
    let margin = (MARGIN_S * sample_rate_hz) as usize;
    spans
        .iter()
        .map(|span| {
            let end = (span.end + margin).min(audio.len());
            let start = span.start.saturating_sub(margin).min(end);
            let band = above(&audio[start..end], sample_rate_hz, from_hz);
            let weighted = k_weighted(&band, sample_rate_hz);
            let within = |sample: usize| sample.saturating_sub(start).min(weighted.len());
            lufs(&weighted[within(span.start)..within(span.end)])
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::read_sibilants;
    use crate::measurement::levels::residual_db;
    use crate::measurement::voices::singer::{Kind, Section, sing};

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

    #[test]
    fn reads_what_a_transform_of_the_whole_reads() {
        let song = sing(48_000.0, 1);
        let spans = song.spans(Section::Verse, Kind::Sibilant);
        let whole = read_sibilants(&song.audio, 48_000.0, &spans, &[], 4000.0);
        let short = band_lufs(&song.audio, 48_000.0, &spans, 4000.0);
        assert!(spans.len() > 20);
        for (whole, short) in whole.iter().zip(short) {
            assert!((whole.sibilance_lufs - short).abs() < 0.1, "{whole:?}, {short}");
        }
    }

    #[test]
    fn silence_and_what_lies_beyond_the_sound_read_minus_infinity() {
        let levels = band_lufs(&[0.0; 4800], 48_000.0, &[100..300, 9000..9100], 4000.0);
        assert_eq!(levels, [f32::NEG_INFINITY; 2]);
    }
}
