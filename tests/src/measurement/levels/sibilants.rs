//! Labelled sibilants against the voice around them.

use std::ops::Range;

use super::band::above;
use super::energies::{Energies, common};
use super::loudness::{k_weighted, lufs_from_power};

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
    pub fn proportion_lu(&self) -> f32 {
        self.sibilance_lufs - self.voice_lufs
    }
}

/// The levels of one sound from which sibilants are read.
#[derive(Debug, Clone)]
pub struct SibilanceMeter {
    /// K-weighted energies of the whole sound.
    pub voice: Energies,
    /// Those of what lies above the lower edge, in linear phase: measured apart from the engine.
    pub band: Energies,
    reach_samples: usize,
    length: usize,
}

impl SibilanceMeter {
    /// Of one sound; `from_hz` is the lower edge of the band.
    pub fn new(audio: &[f32], sample_rate_hz: f64, from_hz: f64) -> Self {
        let voice = k_weighted(audio, sample_rate_hz);
        Self {
            band: Energies::new(&above(&voice, sample_rate_hz, from_hz)),
            voice: Energies::new(&voice),
            reach_samples: (VOICE_REACH_S * sample_rate_hz).round() as usize,
            length: audio.len(),
        }
    }

    /// Reads every sibilant, in the order given; labels are ranges of samples, and what of them lies beyond the sound
    /// is left out.
    pub fn read(&self, sibilants: &[Range<usize>], vowels: &[Range<usize>]) -> Vec<SibilantReading> {
        let all = 0..self.length;
        let readings = sibilants.iter().map(|span| {
            let around = span.start.saturating_sub(self.reach_samples)..span.end + self.reach_samples;
            let voice_power = self
                .voice
                .power_within(vowels.iter().cloned(), &common(&around, &all));
            SibilantReading {
                span: span.clone(),
                voice_lufs: voice_power.map_or(f32::NEG_INFINITY, lufs_from_power),
                sibilance_lufs: self.band.lufs(&common(span, &all)),
            }
        });
        readings.collect()
    }
}

/// Reads every sibilant of one sound once; see [`SibilanceMeter`].
pub fn read_sibilants(
    audio: &[f32],
    sample_rate_hz: f64,
    sibilants: &[Range<usize>],
    vowels: &[Range<usize>],
    from_hz: f64,
) -> Vec<SibilantReading> {
    SibilanceMeter::new(audio, sample_rate_hz, from_hz).read(sibilants, vowels)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::levels::near;
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
        near(reading.proportion_lu(), 3.345 - 6.021, 0.05, reading);
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
