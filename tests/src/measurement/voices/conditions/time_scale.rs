//! The same words in less time, or at a higher pitch: waveform-similarity overlap-add.

use std::f64::consts::PI;

use super::level::at_voice_level;
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::corpus::resample::resampled;

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

/// Brisk and hurried speech against a calm reading: common practice for time compression, no source.
pub const BRISK: f64 = 1.3;
pub const HURRIED: f64 = 1.6;

/// The recording `speed` times as fast at its own pitch. Grains are moved by up to 8 ms: labels are no longer exact.
pub fn compressed(recording: &Recording, speed: f64) -> Recording {
    let audio = faster(&recording.audio, recording.sample_rate_hz, speed);
    let scaled = |sample: usize| ((sample as f64 / speed).round() as usize).min(audio.len());
    let phones = recording.phones.iter();
    let phones = phones.map(|phone| phone.at(scaled(phone.span.start)..scaled(phone.span.end)));
    Recording {
        phones: phones.filter(|phone| !phone.span.is_empty()).collect(),
        precision: recording.precision.on_a_grid(),
        ..recording.with_audio(audio)
    }
}

/// Every sound higher by so many semitones, formants too, as a change of tape speed does; then as long as before. The
/// voice is as loud as before, and the labels stay, within 8 ms.
pub fn higher(recording: &Recording, semitones: f64) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    // Resamplers go from one whole number of Hz to another: 0.1 cents off at most.
    let slower_hz = (rate_hz / (semitones / 12.0).exp2()).round();
    let raised = resampled(&recording.audio, rate_hz, slower_hz);
    let mut audio = faster(&raised, rate_hz, slower_hz / rate_hz);
    audio.resize(recording.audio.len(), 0.0);
    Recording {
        precision: recording.precision.on_a_grid(),
        ..at_voice_level(recording, audio)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::level::Voice;
    use crate::measurement::voices::conditions::tests::{joined, level_lufs, peak_hz, songs, tone};
    use crate::measurement::voices::corpus::{Precision, Sound};
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

    #[test]
    fn labels_go_with_the_sounds() {
        for song in songs() {
            let after = compressed(song, HURRIED);
            assert_eq!(after.phones.len(), song.phones.len());
            assert_eq!(after.precision, Precision::Grid10Ms);
            assert!((after.duration_s() * HURRIED - song.duration_s()).abs() < 0.01);
            let change_lu = Voice::of(&after).lufs() - Voice::of(song).lufs();
            assert!(change_lu.abs() < 0.7, "vowels {change_lu:+.2} LU");
            let [before_lufs, after_lufs] =
                [song, &after].map(|one| level_lufs(&joined(one, Sound::Sibilant), one.sample_rate_hz));
            let change_lu = after_lufs - before_lufs;
            assert!(change_lu.abs() < 1.5, "sibilants {change_lu:+.2} LU");
        }
    }

    #[test]
    fn a_tone_is_so_many_semitones_higher() {
        for (semitones, asked_hz) in [(3.0, 523.3), (7.0, 659.3), (12.0, 880.0)] {
            let hz = peak_hz(&higher(&tone(440.0, 48_000.0), semitones).audio, 48_000.0);
            assert!((hz - asked_hz).abs() < 0.03 * asked_hz, "{semitones}: {hz} Hz");
        }
    }

    #[test]
    fn the_voice_stays_where_its_labels_are_and_as_loud() {
        for song in songs() {
            let after = higher(song, 7.0);
            assert_eq!(after.audio.len(), song.audio.len());
            let [before, after] = [song, &after].map(Voice::of);
            assert!((before.lufs() - after.lufs()).abs() < 0.1);
            for s in [10.0, 30.0, 50.0] {
                let sample = (s * song.sample_rate_hz) as usize;
                let change_lu = after.lufs_near(sample) - before.lufs_near(sample);
                assert!(change_lu.abs() < 2.0, "at {s} s {change_lu:+.1} LU");
            }
        }
    }
}
