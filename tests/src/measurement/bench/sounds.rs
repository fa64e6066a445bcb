//! The sounds that are played against the clock.

use std::ops::Range;
use std::sync::Arc;

use crate::measurement::null::{Input, Voice};
use crate::measurement::voices::singer::{Kind, Section, Song, sing};

/// The demo's singer, as [`Voice::song`] has her.
const SEED: u64 = 2026;
/// Seconds of each section in the piece of the song.
const PER_SECTION_S: f64 = 10.0 / Section::ALL.len() as f64;
/// Seconds of one kind of sound alone.
const ALONE_S: f64 = 4.0;

/// A stretch of sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stretch {
    /// The beginning of verse, middle and chorus: 10 s.
    Song,
    /// Rests, one after another: 4 s.
    Quiet,
    /// Vowels, one after another: 4 s.
    Voiced,
    /// Sibilants, one after another: 4 s.
    Sibilant,
    /// Breaths, one after another: 4 s.
    Breath,
}

impl Stretch {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Song,
        Self::Quiet,
        Self::Voiced,
        Self::Sibilant,
        Self::Breath,
    ];

    /// For a person.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Song => "song",
            Self::Quiet => "quiet",
            Self::Voiced => "voiced",
            Self::Sibilant => "sibilant",
            Self::Breath => "breath",
        }
    }

    fn kind(self) -> Option<Kind> {
        match self {
            Self::Song => None,
            Self::Quiet => Some(Kind::Rest),
            Self::Voiced => Some(Kind::Vowel),
            Self::Sibilant => Some(Kind::Sibilant),
            Self::Breath => Some(Kind::Breath),
        }
    }
}

/// Two channels, linear, full scale 1.
pub type Stereo = [Vec<f32>; 2];

/// The song of the demo's singer after the hard leveller and the boost, cut into stretches. The second channel is another
/// throat, so that the channels differ.
#[derive(Debug, Clone)]
pub struct Sounds {
    /// Sample rate, Hz.
    pub sample_rate_hz: f64,
    stretches: [Arc<Stereo>; Stretch::ALL.len()],
}

impl Sounds {
    /// Sings at `sample_rate_hz`.
    #[must_use]
    pub fn sing(sample_rate_hz: f64) -> Self {
        let song = sing(sample_rate_hz, SEED);
        let voice = Voice::song(sample_rate_hz);
        let voices = voice.channels(Input::Levelled, 2);
        let cut = |stretch| {
            let spans = spans(&song, stretch);
            Arc::new([0, 1].map(|channel| pieces(&voices[channel], &spans)))
        };
        Self {
            sample_rate_hz,
            stretches: Stretch::ALL.map(cut),
        }
    }

    /// A stretch in two channels.
    #[must_use]
    pub fn stretch(&self, stretch: Stretch) -> Arc<Stereo> {
        let place = Stretch::ALL.iter().position(|other| *other == stretch);
        Arc::clone(&self.stretches[place.unwrap_or_default()])
    }
}

/// Where a stretch comes from, in samples.
fn spans(song: &Song, stretch: Stretch) -> Vec<Range<usize>> {
    let samples = |seconds: f64| (seconds * song.sample_rate_hz) as usize;
    let Some(kind) = stretch.kind() else {
        let sections = Section::ALL.map(|section| song.section_span(section).start);
        return sections
            .map(|start| start..start + samples(PER_SECTION_S))
            .to_vec();
    };
    let all: Vec<_> = Section::ALL
        .iter()
        .flat_map(|&section| song.spans(section, kind))
        .collect();
    let mut missing = samples(ALONE_S);
    let mut spans = Vec::new();
    for span in all.iter().cycle() {
        let length = span.len().min(missing);
        spans.push(span.start..span.start + length);
        missing -= length;
        if missing == 0 {
            break;
        }
    }
    spans
}

fn pieces(voice: &[f32], spans: &[Range<usize>]) -> Vec<f32> {
    spans
        .iter()
        .flat_map(|span| voice[span.clone()].iter().copied())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::signals::power_db;

    #[test]
    fn stretches_are_as_long_as_they_say_and_their_channels_sound_and_differ() {
        let sounds = Sounds::sing(44_100.0);
        for stretch in Stretch::ALL {
            let sound = sounds.stretch(stretch);
            let seconds = if stretch == Stretch::Song { 10.0 } else { ALONE_S };
            for channel in sound.iter() {
                assert!(
                    (channel.len() as f64 / 44_100.0 - seconds).abs() < 1e-3,
                    "{stretch:?}"
                );
                assert!(power_db(channel) > -70.0, "{stretch:?}: {}", power_db(channel));
            }
            assert_ne!(sound[0], sound[1]);
        }
    }
}
