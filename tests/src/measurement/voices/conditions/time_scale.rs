//! Longer or shorter at the same pitch: waveform-similarity overlap-add.

use std::f64::consts::PI;

/// Length of a grain and how far it may be moved to match what came before, s: two periods of a low voice and one
/// (Verhelst & Roelands 1993, figures from memory).
const GRAIN_S: f64 = 0.03;
const SEARCH_S: f64 = 0.008;
/// Steps of the first search for the best match, s: under half a period of what carries a voice's waveform.
const COARSE_S: f64 = 0.000_25;

/// The sound `speed` times as fast at the same pitch.
pub fn faster(audio: &[f32], sample_rate_hz: f64, speed: f64) -> Vec<f32> {
    let half = (GRAIN_S * sample_rate_hz / 2.0) as usize;
    let length = (audio.len() as f64 / speed) as usize;
    let window: Vec<f32> = (0..2 * half)
        .map(|sample| (0.5 - 0.5 * (PI * (sample as f64 + 0.5) / half as f64).cos()) as f32)
        .collect();
    // Silence before and after, so that the first grain is heard at its middle and every grain is whole.
    let search = (SEARCH_S * sample_rate_hz) as usize;
    let margin = half + search;
    let mut padded = vec![0.0; margin];
    padded.extend_from_slice(audio);
    padded.resize(padded.len() + 3 * margin, 0.0);
    let mut sum = vec![0.0; length + 2 * half];
    // Where the grain before would go on.
    let mut natural = margin - half;
    for start in (0..length + half).step_by(half) {
        let wanted = ((start as f64 - half as f64) * speed).max(-(half as f64)) + margin as f64;
        let wanted = (wanted as usize).min(padded.len() - 2 * half - search);
        let grain = best_match(&padded, natural, wanted, half, sample_rate_hz);
        for ((sum, window), sample) in sum[start..].iter_mut().zip(&window).zip(&padded[grain..]) {
            *sum += window * sample;
        }
        natural = (grain + half).min(padded.len() - 2 * half);
    }
    sum[half..half + length].to_vec()
}

/// The start within reach of `wanted` whose first half is most like what follows at `natural`.
fn best_match(sound: &[f32], natural: usize, wanted: usize, half: usize, rate_hz: f64) -> usize {
    let search = (SEARCH_S * rate_hz) as usize;
    let coarse = ((COARSE_S * rate_hz) as usize).max(1);
    let likeness = |start: &usize| -> f32 {
        let pairs = sound[natural..natural + half]
            .iter()
            .zip(&sound[*start..*start + half]);
        let (product, energy) = pairs.step_by(2).fold((0.0, 1e-12), |(product, energy), (a, b)| {
            (product + a * b, energy + b * b)
        });
        product / energy.sqrt()
    };
    let best = |starts: &mut dyn Iterator<Item = usize>| -> usize {
        let rated = starts.map(|start| (likeness(&start), start));
        let best = rated.reduce(|one, two| if two.0 > one.0 { two } else { one });
        best.map_or(wanted, |(_, start)| start)
    };
    let first = wanted.saturating_sub(search);
    let near = best(&mut (first..=wanted + search).step_by(coarse));
    let around = near.saturating_sub(coarse)..=near + coarse;
    best(&mut around.filter(|start| *start <= wanted + search))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::{peak_hz, tone};
    use crate::measurement::voices::signals::power_db;

    #[test]
    fn a_tone_keeps_its_pitch_and_level_and_becomes_shorter_or_longer() {
        for rate_hz in [16_000.0, 48_000.0] {
            for speed in [0.5, 0.8, 1.0, 1.3, 1.6] {
                let tone = tone(440.0, rate_hz).audio;
                let after = faster(&tone, rate_hz, speed);
                assert_eq!(after.len(), (tone.len() as f64 / speed) as usize);
                let hz = peak_hz(&after, rate_hz);
                assert!((hz - 440.0).abs() < 15.0, "{speed}: {hz} Hz");
                let middle = &after[after.len() / 4..after.len() * 3 / 4];
                let change_db = power_db(middle) - power_db(&tone);
                assert!(change_db.abs() < 0.5, "{speed}: {change_db:.2} dB");
            }
        }
    }

    #[test]
    fn a_burst_lies_where_its_labels_are_scaled_to() {
        let rate_hz = 48_000.0;
        let mut audio = vec![0.0; 96_000];
        let burst = crate::measurement::voices::signals::noise(1).take(9600);
        audio.splice(48_000..57_600, burst);
        let after = faster(&audio, rate_hz, 1.6);
        let heard: Vec<usize> = (0..after.len()).filter(|at| after[*at].abs() > 0.1).collect();
        let late = |at: usize, wanted: f64| (at as f64 - wanted).abs() / rate_hz;
        assert!(late(heard[0], 30_000.0) < 0.02, "{}", heard[0]);
        assert!(late(heard[heard.len() - 1], 36_000.0) < 0.02);
    }
}
