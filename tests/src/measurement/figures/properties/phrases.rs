//! Recordings cut at their rests, and played again.

use std::ops::Range;

use crate::measurement::voices::corpus::{Phone, Recording, Sound};

/// A gap between sounds that is no rest but a stop's closure or a slip of the labels, s.
const LONGEST_GAP_S: f64 = 0.12;

/// The recording played again and again until it lasts `shortest_s`, with its labels each time.
pub fn repeated(recording: &Recording, shortest_s: f64) -> Recording {
    let length = recording.audio.len();
    if length == 0 {
        return recording.clone();
    }
    let times = (shortest_s * recording.sample_rate_hz / length as f64)
        .ceil()
        .max(1.0) as usize;
    let moved = |time: usize| {
        let moved = move |sample: usize| sample + time * length;
        let phones = recording.phones.iter();
        phones.map(move |phone| phone.at(moved(phone.span.start)..moved(phone.span.end)))
    };
    Recording {
        phones: (0..times).flat_map(moved).collect(),
        ..recording.with_audio(recording.audio.repeat(times))
    }
}

/// The stretches of a recording that are spoken or sung without a rest, joined until each lasts `shortest_s`; the last
/// may be shorter.
pub fn phrases(recording: &Recording, shortest_s: f64) -> Vec<Range<usize>> {
    let gap = (LONGEST_GAP_S * recording.sample_rate_hz) as usize;
    let shortest = (shortest_s * recording.sample_rate_hz) as usize;
    let sounds = |phone: &&Phone| !matches!(phone.sound, Sound::Rest | Sound::Breath | Sound::Other);
    let mut phrases: Vec<Range<usize>> = Vec::new();
    for phone in recording.phones.iter().filter(sounds) {
        match phrases.last_mut() {
            Some(last) if last.len() < shortest || phone.span.start <= last.end + gap => {
                last.end = phone.span.end;
            }
            _ => phrases.push(phone.span.clone()),
        }
    }
    phrases
}

#[cfg(test)]
mod tests {
    use super::*;

    fn recording(phones: &[(Sound, Range<usize>)]) -> Recording {
        let labels = phones.iter().map(|(sound, span)| ("", *sound, span.clone()));
        Recording::made_here(1000.0, (0..1000).map(|n| n as f32).collect(), labels)
    }

    #[test]
    fn short_recordings_come_again_with_their_labels() {
        let again = repeated(&recording(&[(Sound::Vowel, 100..200)]), 2.5);
        assert_eq!(again.audio.len(), 3000);
        assert_eq!(again.audio[2100], 100.0);
        let spans: Vec<_> = again.phones.iter().map(|phone| phone.span.clone()).collect();
        assert_eq!(spans, [100..200, 1100..1200, 2100..2200]);
    }

    #[test]
    fn phrases_end_at_rests_and_hold_enough() {
        let recording = recording(&[
            (Sound::Vowel, 0..100),
            (Sound::Rest, 100..300),
            (Sound::Sibilant, 300..400),
            (Sound::Vowel, 450..700),
            (Sound::Breath, 700..900),
            (Sound::Vowel, 900..950),
        ]);
        assert_eq!(phrases(&recording, 0.0), [0..100, 300..700, 900..950]);
        assert_eq!(phrases(&recording, 0.2), [0..700, 900..950]);
    }
}
