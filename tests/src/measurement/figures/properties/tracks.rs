//! The tracks around a lead: a double, a backing stack, a breath track.

use std::ops::Range;

use super::defaults::RATE_HZ;
use super::voice::{Voice, levelled};
use crate::measurement::voices::conditions::{Condition, VoiceLevel, at_level};
use crate::measurement::voices::corpus::{Recording, Sound};
use crate::measurement::voices::singer::random::Random;
use crate::measurement::voices::singer::sing_along;

/// How late a double is, and the takes of a stack, ms: common practice is up to 25 ms, no source.
const DOUBLE_LATE_MS: f64 = 12.0;
const STACK_LATE_MS: [f64; 3] = [0.0, 9.0, 21.0];
/// Level of a breath re the voice around it, LU: common practice for an unedited close voice, no source.
const BREATH_LU: [f64; 2] = [-25.0, -10.0];
/// Peak of the noise of the room of a breath track: -78 dBFS mean square, as the singer's.
const ROOM_PEAK: f32 = 2.2e-4;
/// Seeds of other singers, re the lead's.
const OTHERS: [u64; 3] = [101, 202, 303];

/// A track that is not the lead, levelled hard and boosted as the lead is, in time with it.
pub struct Track {
    /// Mono, 48 kHz.
    pub audio: Vec<f32>,
    /// What of it is judged: sibilants, or breaths, samples.
    pub events: Vec<Range<usize>>,
}

fn late_samples(late_ms: f64) -> usize {
    (1e-3 * late_ms * RATE_HZ) as usize
}

fn later(spans: &[Range<usize>], late_ms: f64, length: usize) -> Vec<Range<usize>> {
    let late = late_samples(late_ms);
    let moved = spans.iter().map(|span| span.start + late..span.end + late);
    moved.filter(|span| span.end <= length).collect()
}

/// Another singer on the lead's phrasing, late by `late_ms`.
fn take(lead_seed: u64, other: u64, late_ms: f64) -> Vec<f32> {
    let song = sing_along(RATE_HZ, lead_seed, lead_seed + other);
    let late = std::iter::repeat_n(0.0, late_samples(late_ms));
    late.chain(levelled(&song.audio)).take(song.audio.len()).collect()
}

/// The levelled lead as a recording, for the conditions.
fn as_levelled(lead: &Voice) -> Recording {
    lead.raw.with_audio(lead.levelled.clone())
}

/// A double: another singer for the singer, a distorted copy for a recording.
pub fn double(lead: &Voice) -> Track {
    let sibilants = lead.sibilants();
    match lead.seed {
        Some(seed) => Track {
            audio: take(seed, OTHERS[0], DOUBLE_LATE_MS),
            events: later(&sibilants, DOUBLE_LATE_MS, lead.levelled.len()),
        },
        None => Track {
            audio: Condition::DistortedDouble.apply(&as_levelled(lead), 1).audio,
            events: sibilants,
        },
    }
}

/// A backing stack: three other singers for the singer, five wandering copies for a recording.
pub fn stack(lead: &Voice) -> Track {
    let sibilants = lead.sibilants();
    let Some(seed) = lead.seed else {
        return Track {
            audio: Condition::BackingStack.apply(&as_levelled(lead), 1).audio,
            events: sibilants,
        };
    };
    let mut audio = vec![0.0; lead.levelled.len()];
    let gain = (1.0 / OTHERS.len() as f32).sqrt();
    for (other, late_ms) in OTHERS.into_iter().zip(STACK_LATE_MS) {
        let take = take(seed, other, late_ms);
        audio
            .iter_mut()
            .zip(take)
            .for_each(|(sum, sample)| *sum += gain * sample);
    }
    let middle_ms = STACK_LATE_MS.iter().sum::<f64>() / STACK_LATE_MS.len() as f64;
    Track {
        audio,
        events: later(&sibilants, middle_ms, lead.levelled.len()),
    }
}

/// A breath track: nothing but breaths in the lead's rests, each 10 to 25 LU under the levelled lead within 2 s, and as
/// much noise of a room as the singer's.
pub fn breaths(lead: &Voice) -> Track {
    // The rests are looked for before levelling, which lifts the room.
    let breathed = Condition::CloseBreaths.apply(&lead.raw, 1);
    let is_breath = |sound| sound == Sound::Breath;
    let old = lead.raw.spans(is_breath);
    let length = lead.levelled.len();
    let added = breathed.spans(is_breath).into_iter();
    let events: Vec<_> = added
        .filter(|span| !old.contains(span) && span.end <= length)
        .collect();

    let room = crate::measurement::voices::signals::noise(21).map(|noise| ROOM_PEAK * noise);
    let mut audio: Vec<f32> = room.take(length).collect();
    let voice = VoiceLevel::of(&as_levelled(lead));
    let mut random = Random::new(length as u64, 6);
    for span in &events {
        let alone = span.clone().map(|n| breathed.audio[n] - lead.raw.audio[n]);
        let alone: Vec<f32> = alone.collect();
        let level_lufs = voice.lufs_near(span.start) + random.between(BREATH_LU[0], BREATH_LU[1]);
        let breath = at_level(&alone, RATE_HZ, 0..alone.len(), level_lufs);
        audio[span.clone()]
            .iter_mut()
            .zip(breath)
            .for_each(|(sum, sample)| *sum += sample);
    }
    Track { audio, events }
}
