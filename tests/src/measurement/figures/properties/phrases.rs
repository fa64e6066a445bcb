//! Recordings cut at their rests, and played again; and where within its label a sibilant sounds.

use std::ops::Range;

use super::defaults::{RATE_HZ, from_hz};
use crate::measurement::levels::{above, k_weighted};
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

/// Power is read over so much, samples at 48 kHz: 5 ms.
const BLOCK_SAMPLES: usize = 240;
/// A block within this ratio of powers (-10 dB) of the mean of the label belongs to the sibilant: the relative gate
/// of ITU-R BS.1770-5, within the label.
const GATE: f64 = 0.1;

/// The labels cut down to where they sound, from the first to the last block that passes the gate.
///
/// Sibilance level is the level while a sibilant is present. An aligner's label holds some of the neighbours too, on its grid
/// of 10 ms and beyond, and a label of a diphone voice the silence of a stop: over the whole of it a sibilant reads
/// softer than it is, by 3 dB where it fills half.
pub fn sounding(audio: &[f32], labels: &[Range<usize>]) -> Vec<Range<usize>> {
    let band = above(&k_weighted(audio, RATE_HZ), RATE_HZ, from_hz());
    labels.iter().map(|label| cut(&band, label)).collect()
}

fn cut(band: &[f32], label: &Range<usize>) -> Range<usize> {
    let label = label.start.min(band.len())..label.end.min(band.len());
    let power = |block: &Range<usize>| {
        let samples = &band[block.clone()];
        let sum: f64 = samples.iter().map(|&x| f64::from(x) * f64::from(x)).sum();
        sum / samples.len().max(1) as f64
    };
    let gate = GATE * power(&label);
    let blocks = label.clone().step_by(BLOCK_SAMPLES);
    let blocks = blocks.map(|start| start..(start + BLOCK_SAMPLES).min(label.end));
    let mut heard = blocks.filter(|block| power(block) > gate);
    let Some(first) = heard.next() else { return label };
    let end = heard.next_back().map_or(first.end, |last| last.end);
    first.start..end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::signals::noise;

    fn recording(phones: &[(Sound, Range<usize>)]) -> Recording {
        let labels = phones.iter().map(|(sound, span)| ("", *sound, span.clone()));
        Recording::made_here(1000.0, (0..1000).map(|n| n as f32).collect(), labels)
    }

    #[test]
    fn short_recordings_come_again_with_their_labels() {
        let again = repeated(&recording(&[(Sound::Vowel, 100..200)]), 2.5);
        assert_eq!(again.audio.len(), 3000);
        assert_eq!(again.audio[2100], 100.0);
        assert_eq!(again.spans(|_| true), [100..200, 1100..1200, 2100..2200]);
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

    #[test]
    fn what_lies_around_a_sibilant_is_cut_off_and_what_fills_its_label_is_not() {
        let mut audio = vec![0.0; 48_000];
        let sounds = 10_000..14_080;
        for (sample, noise) in audio[sounds.clone()].iter_mut().zip(noise(1)) {
            *sample = noise;
        }
        let wide = 7000..17_000;
        let [cut, whole] = &sounding(&audio, &[wide, sounds.clone()])[..] else {
            panic!("one range for each label");
        };
        let near = |one: usize, other: usize| one.abs_diff(other) <= BLOCK_SAMPLES;
        assert!(
            near(cut.start, sounds.start) && near(cut.end, sounds.end),
            "{cut:?}"
        );
        assert_eq!(*whole, sounds);
    }

    #[test]
    fn silence_keeps_its_label() {
        assert_eq!(
            sounding(&[0.0; 1000], &[100..900, 900..2000]),
            [100..900, 900..1000]
        );
    }
}
