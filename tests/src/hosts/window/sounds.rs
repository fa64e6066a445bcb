//! Sounds for editor tests.

use std::sync::Arc;

use crate::hosts::clap::LiveSound;
use crate::measurement::models::levelled_hard;
use crate::measurement::voices::signals::phrases;
use crate::measurement::voices::singer::{sing, sing_along};

const SAMPLE_RATE_HZ: f64 = 48_000.0;
/// Seed of the demo's singer.
pub const SONG_SEED: u64 = 2026;
/// Seed of a second one.
const OTHER_SEED: u64 = 7;

/// The demo's song, levelled hard and with boosted treble, on both channels.
pub fn levelled_song() -> LiveSound {
    let song = sing(SAMPLE_RATE_HZ, SONG_SEED);
    sound(levelled_hard(&song.audio, SAMPLE_RATE_HZ), Vec::new())
}

/// The demo's song as it was sung, on both channels.
pub fn raw_song() -> LiveSound {
    sound(sing(SAMPLE_RATE_HZ, SONG_SEED).audio, Vec::new())
}

/// Phrases of a tone and a noise, for tests that only need running sound.
pub fn bursts() -> LiveSound {
    sound(
        phrases(SAMPLE_RATE_HZ as f32, 96_000, SONG_SEED, 0.5, 0.3),
        Vec::new(),
    )
}

/// A double of the song, levelled as well, with the lead on the side-chain.
pub fn double() -> LiveSound {
    let lead = levelled_hard(&sing(SAMPLE_RATE_HZ, SONG_SEED).audio, SAMPLE_RATE_HZ);
    let along = sing_along(SAMPLE_RATE_HZ, SONG_SEED, OTHER_SEED);
    sound(
        levelled_hard(&along.audio, SAMPLE_RATE_HZ),
        vec![lead.clone(), lead],
    )
}

/// `sound` with gain so that the peaks of its first `seconds` reach `peak`, linear.
pub fn with_peaks(sound: &LiveSound, peak: f32, seconds: f64) -> LiveSound {
    let first = (seconds * sound.sample_rate_hz) as usize;
    let samples = sound.voice.iter().flat_map(|channel| channel.iter().take(first));
    let loudest = samples.fold(0.0f32, |most, sample| most.max(sample.abs()));
    let louder = |channel: &Vec<f32>| channel.iter().map(|sample| sample * peak / loudest).collect();
    LiveSound {
        voice: Arc::new(sound.voice.iter().map(louder).collect()),
        ..sound.clone()
    }
}

fn sound(audio: Vec<f32>, reference: Vec<Vec<f32>>) -> LiveSound {
    LiveSound {
        sample_rate_hz: SAMPLE_RATE_HZ,
        voice: Arc::new(vec![audio.clone(), audio]),
        reference: Arc::new(reference),
        speed: 1.0,
    }
}
