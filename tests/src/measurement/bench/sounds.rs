//! The sound that is played against the clock.

use std::sync::Arc;

use crate::measurement::null::{Input, Voice};
use crate::measurement::voices::singer::{Section, sing};

/// The demo's singer, as [`Voice::song`] has her.
const SEED: u64 = 2026;
/// Seconds of each section in the piece of the song.
const PER_SECTION_S: f64 = 10.0 / Section::ALL.len() as f64;

/// Two channels, linear, full scale 1.
pub type Stereo = [Vec<f32>; 2];

/// The beginning of verse, middle and chorus of the demo's singer after the hard leveller and the boost: 10 s. The second
/// channel is another singer, so that the channels differ.
#[derive(Debug, Clone)]
pub struct Sounds {
    /// Sample rate, Hz.
    pub sample_rate_hz: f64,
    /// The sound.
    pub song: Arc<Stereo>,
}

impl Sounds {
    /// Sings at `sample_rate_hz`.
    pub fn sing(sample_rate_hz: f64) -> Self {
        let song = sing(sample_rate_hz, SEED);
        let voice = Voice::song(sample_rate_hz);
        let length = (PER_SECTION_S * sample_rate_hz) as usize;
        let channel = |channel: &Vec<f32>| {
            let starts = Section::ALL.map(|section| song.section_span(section).start);
            starts.map(|start| &channel[start..start + length]).concat()
        };
        let channels = voice.channels(Input::Levelled, 2);
        Self {
            sample_rate_hz,
            song: Arc::new([channel(&channels[0]), channel(&channels[1])]),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::signals::power_db;

    #[test]
    fn the_song_lasts_ten_seconds_and_its_channels_sound_and_differ() {
        let sounds = Sounds::sing(44_100.0);
        for channel in sounds.song.iter() {
            assert!((channel.len() as f64 / 44_100.0 - 10.0).abs() < 1e-3);
            assert!(power_db(channel) > -70.0, "{}", power_db(channel));
        }
        assert_ne!(sounds.song[0], sounds.song[1]);
    }
}
