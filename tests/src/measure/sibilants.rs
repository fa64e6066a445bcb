//! Labelled sibilants against the voice around them.

use std::ops::Range;

use super::band::above;
use super::loudness::{energy, k_weighted, lufs, lufs_from_power};

/// How far from a sibilant its voice is read, s.
const VOICE_REACH_S: f64 = 1.0;

/// One labelled sibilant and the voice around it.
#[derive(Debug, Clone, PartialEq)]
pub struct SibilantReading {
    /// Where it lies, samples.
    pub span: Range<usize>,
    /// K-weighted level of the labelled vowels within 1 s either side, LUFS; minus infinity where none lies so near.
    pub voice_lufs: f32,
    /// K-weighted level of the band over the span, LUFS.
    pub sibilance_lufs: f32,
}

impl SibilantReading {
    /// Sibilance level minus voice level, LU.
    #[must_use]
    pub fn proportion_lu(&self) -> f32 {
        self.sibilance_lufs - self.voice_lufs
    }
}

/// Reads every sibilant, in the order given. `from_hz` is the lower edge of the band; labels are ranges of samples,
/// and what of them lies beyond the sound is left out.
#[must_use]
pub fn read_sibilants(
    audio: &[f32],
    sample_rate_hz: f64,
    sibilants: &[Range<usize>],
    vowels: &[Range<usize>],
    from_hz: f64,
) -> Vec<SibilantReading> {
    let voice = k_weighted(audio, sample_rate_hz);
    let band = above(&voice, sample_rate_hz, from_hz);
    let reach = (VOICE_REACH_S * sample_rate_hz).round() as usize;
    sibilants
        .iter()
        .map(|span| {
            let around = span.start.saturating_sub(reach)..span.end + reach;
            SibilantReading {
                span: span.clone(),
                voice_lufs: voice_lufs(&voice, vowels, &around),
                sibilance_lufs: lufs(&band[common(span, &(0..band.len()))]),
            }
        })
        .collect()
}

/// Mean level of those samples of the vowels that lie within `around`, LUFS.
fn voice_lufs(weighted: &[f32], vowels: &[Range<usize>], around: &Range<usize>) -> f32 {
    let heard = common(around, &(0..weighted.len()));
    let (sum, samples) = vowels
        .iter()
        .map(|vowel| &weighted[common(vowel, &heard)])
        .fold((0.0, 0), |(sum, samples), vowel| {
            (sum + energy(vowel), samples + vowel.len())
        });
    lufs_from_power(sum / samples.max(1) as f64)
}

/// What two ranges share; an empty range inside the second where they share nothing.
fn common(one: &Range<usize>, two: &Range<usize>) -> Range<usize> {
    let start = one.start.clamp(two.start, two.end);
    start..one.end.clamp(start, two.end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::TAU;
    use std::slice;

    const RATE_HZ: f64 = 48_000.0;

    /// Seconds as a range of samples.
    fn seconds(start: f64, end: f64) -> Range<usize> {
        (start * RATE_HZ) as usize..(end * RATE_HZ) as usize
    }

    /// Silence with faded sines of the given spans, frequencies and peaks.
    fn song(length_s: f64, tones: &[(Range<usize>, f64, f64)]) -> Vec<f32> {
        let mut audio = vec![0.0; (length_s * RATE_HZ) as usize];
        for (span, frequency_hz, peak) in tones {
            for n in span.clone() {
                audio[n] += (peak * (TAU * frequency_hz * n as f64 / RATE_HZ).sin()) as f32;
            }
        }
        audio
    }

    #[test]
    fn proportion_is_that_of_the_two_tones() {
        let (vowel, sibilant) = (seconds(0.2, 0.7), seconds(0.8, 1.0));
        let tones = [(vowel.clone(), 997.0, 0.5), (sibilant.clone(), 997.0 * 7.0, 0.25)];
        let audio = song(1.5, &tones);
        let [reading] = &read_sibilants(&audio, RATE_HZ, &[sibilant], &[vowel], 4000.0)[..] else {
            panic!("one reading for one sibilant");
        };
        // Half the peak, and K-weighting lifts 6979 Hz by 3.345 dB against 997 Hz (the 48 kHz table's response).
        assert!((reading.voice_lufs + 3.01 + 6.02).abs() < 0.05, "{reading:?}");
        assert!(
            (reading.proportion_lu() + 6.021 - 3.345).abs() < 0.05,
            "{reading:?}"
        );
    }

    #[test]
    fn only_vowels_within_a_second_are_the_voice() {
        let (near, far, sibilant) = (seconds(2.0, 2.5), seconds(0.0, 0.5), seconds(2.6, 2.7));
        let tones = [
            (near.clone(), 997.0, 0.1),
            (far.clone(), 997.0, 1.0),
            (sibilant.clone(), 6000.0, 0.1),
        ];
        let audio = song(4.0, &tones);
        let vowels = [far, near];
        let read = |vowels| {
            let readings = read_sibilants(&audio, RATE_HZ, slice::from_ref(&sibilant), vowels, 4000.0);
            readings[0].voice_lufs
        };
        let voice_lufs = read(&vowels);
        assert!((voice_lufs + 3.01 + 20.0).abs() < 0.05, "{voice_lufs} LUFS");
        assert_eq!(read(&vowels[..1]), f32::NEG_INFINITY);
    }
}
