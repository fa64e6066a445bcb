//! What is done with every sample besides filters.

use std::array::from_fn;
use std::hint::black_box;

use super::{BLOCK, LANES, STEP, Work};

/// -600 and +60 dBFS: less is nothing, more is cut off.
const SOFTEST: f32 = 1e-30;
const LOUDEST: f32 = 1e3;

/// What is no number or nearly nothing becomes nothing, what is too loud is cut off; the peak of what comes in. On the way
/// out what is nearly nothing becomes nothing, and there is another peak.
pub fn safe_and_peaks<'a, const CHANNELS: usize>() -> Work<'a> {
    let mut output = [[0f32; BLOCK]; CHANNELS];
    Box::new(move |sound, start| {
        let mut peaks = [[0f32; LANES]; 2];
        for (output, channel) in output.iter_mut().zip(sound) {
            let input = channel[start..start + BLOCK].as_chunks::<LANES>().0;
            let output = output.as_chunks_mut::<LANES>().0;
            for (output, input) in output.iter_mut().zip(input) {
                *output = input.map(safe);
                peaks[0] = higher(peaks[0], output);
            }
            black_box(&mut *output);
            for output in output {
                *output = output.map(|sample| if sample.abs() >= SOFTEST { sample } else { 0.0 });
                peaks[1] = higher(peaks[1], output);
            }
        }
        black_box((&output, peaks));
    })
}

fn safe(sample: f32) -> f32 {
    let size = sample.abs();
    // No number is as large as any.
    let kept = if (SOFTEST..f32::INFINITY).contains(&size) {
        sample
    } else {
        0.0
    };
    let kept = if kept > LOUDEST { LOUDEST } else { kept };
    if kept < -LOUDEST { -LOUDEST } else { kept }
}

fn higher(peaks: [f32; LANES], samples: &[f32; LANES]) -> [f32; LANES] {
    from_fn(|lane| {
        let size = samples[lane].abs();
        if size > peaks[lane] { size } else { peaks[lane] }
    })
}

/// The mean of eight samples of the mixed channels, above the rumble and below the second formant.
pub fn decimation<'a, const CHANNELS: usize>() -> Work<'a> {
    const FACTOR: usize = 8;
    let (high_pass_decay, low_pass_decay) = black_box((0.919_6_f32, 0.389_7_f32));
    let (mut rumble, mut smooth) = (0f32, 0f32);
    let mut output = [0f32; BLOCK / FACTOR];
    Box::new(move |sound, start| {
        for (index, output) in output.iter_mut().enumerate() {
            let first = start + index * FACTOR;
            let means: [f32; CHANNELS] =
                from_fn(|channel| sound[channel][first..first + FACTOR].iter().sum::<f32>() / FACTOR as f32);
            let sample = means.iter().zip([1.0, 0.6]).map(|(mean, weight)| mean * weight);
            let sample: f32 = sample.sum();
            rumble = sample + high_pass_decay * (rumble - sample);
            let above = sample - rumble;
            smooth = above + low_pass_decay * (smooth - above);
            *output = smooth;
        }
        black_box(&output);
    })
}

/// 5 ms, piece by piece.
pub fn delay<'a, const CHANNELS: usize>() -> Work<'a> {
    const LENGTH: usize = 240;
    let mut lines = [[0f32; LENGTH]; CHANNELS];
    let mut position = 0;
    let mut output = [[0f32; BLOCK]; CHANNELS];
    Box::new(move |sound, start| {
        let mut end = position;
        for channel in 0..CHANNELS {
            let (mut done, mut place) = (0, position);
            while done < BLOCK {
                let length = (LENGTH - place).min(BLOCK - done);
                let kept = &mut lines[channel][place..place + length];
                output[channel][done..done + length].copy_from_slice(kept);
                kept.copy_from_slice(&sound[channel][start + done..start + done + length]);
                done += length;
                place = (place + length) % LENGTH;
            }
            end = place;
        }
        position = end;
        black_box(&output);
    })
}

/// Three gains, each on a parabola over the step.
pub fn gains<'a, const CHANNELS: usize>() -> Work<'a> {
    let mut output = [[0f32; BLOCK]; CHANNELS];
    Box::new(move |sound, start| {
        // Start, slope and curvature of leveller, breath and output gain.
        let ramps = black_box([[0.5, 1e-3, 1e-6], [0.9, -1e-3, 1e-6], [0.8, 1e-4, -1e-6]]);
        for step in 0..BLOCK / STEP {
            let gains: [f64; STEP] = from_fn(|n| {
                let n = (n + 1) as f64;
                ramps
                    .iter()
                    .map(|[start, slope, curvature]| start + n * (slope + n * curvature))
                    .product()
            });
            for (output, channel) in output.iter_mut().zip(sound) {
                let output = &mut output[step * STEP..][..STEP];
                let input = &channel[start + step * STEP..][..STEP];
                for ((output, input), gain) in output.iter_mut().zip(input).zip(&gains) {
                    *output = (f64::from(*input) * gain) as f32;
                }
            }
        }
        black_box(&output);
    })
}
