//! The voices on which two versions are compared.

use super::variants::Input;
use crate::measurement::models::{boost, levelled_hard};
use crate::measurement::voices::corpus::Recording;
use crate::measurement::voices::corpus::resample::to_rate;
use crate::measurement::voices::singer::{sing, sing_along};

/// The demo's singer, and the singer of the second channel: another one, so that no channel can stand for the other.
const SEEDS: [u64; 2] = [2026, 7];
/// The second channel's gain, linear: about -5 dB.
const SECOND_GAIN: f32 = 0.56;
/// The rate at which recordings are played, Hz.
const RECORDING_RATE_HZ: f64 = 48_000.0;

/// One voice, in two channels that differ.
#[derive(Debug, Clone)]
pub struct Voice {
    /// Its name for a person.
    pub name: String,
    /// Sample rate, Hz.
    pub sample_rate_hz: f64,
    raw: [Vec<f32>; 2],
    levelled: [Vec<f32>; 2],
}

impl Voice {
    /// The whole song.
    pub fn song(sample_rate_hz: f64) -> Self {
        let lead = sing(sample_rate_hz, SEEDS[0]).audio;
        let other = sing_along(sample_rate_hz, SEEDS[0], SEEDS[1]).audio;
        Self::of("song".into(), sample_rate_hz, [lead, other])
    }

    /// A recording; the second channel has it a little later.
    pub fn recording(recording: &Recording) -> Self {
        const LATER_SAMPLES: usize = 37;
        let lead = to_rate(recording, RECORDING_RATE_HZ).audio;
        let mut other = vec![0.0; LATER_SAMPLES.min(lead.len())];
        other.extend_from_slice(&lead[..lead.len() - other.len()]);
        Self::of(recording.name.clone(), RECORDING_RATE_HZ, [lead, other])
    }

    fn of(name: String, sample_rate_hz: f64, voices: [Vec<f32>; 2]) -> Self {
        let second = |mut channels: [Vec<f32>; 2]| {
            channels[1].iter_mut().for_each(|sample| *sample *= SECOND_GAIN);
            channels
        };
        Self {
            name,
            sample_rate_hz,
            raw: second(voices.each_ref().map(|voice| boost(voice, sample_rate_hz))),
            levelled: second(voices.map(|voice| levelled_hard(&voice, sample_rate_hz))),
        }
    }

    /// How long it lasts, s.
    pub fn duration_s(&self) -> f64 {
        self.raw[0].len() as f64 / self.sample_rate_hz
    }

    /// The first `channels` channels, 1 or 2.
    pub fn channels(&self, input: Input, channels: usize) -> &[Vec<f32>] {
        match input {
            Input::Raw => &self.raw[..channels],
            Input::Levelled => &self.levelled[..channels],
        }
    }
}
