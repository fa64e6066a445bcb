//! The singer: segments into sound.

use super::formants::Tract;
use super::fricatives::{self, raised_cosine};
use super::labels::Song;
use super::phonemes::Formants;
use super::plan::{self, Segment};
use super::random::Random;
use super::source::Source;

/// Noise of the room, dB re full scale, mean square.
const ROOM_DB: f64 = -78.0;
/// The voice comes and goes this fast at the edge of a segment, s.
const EDGE_S: f64 = 0.012;
/// The mouth moves from one sound to the next in this time, s: common practice, 30 to 60 ms.
const TRANSITION_S: f64 = 0.045;
/// An open mouth takes nothing away that can be heard, Hz.
const OPEN_HZ: f64 = 16_000.0;

/// Sings the whole song: 60 to 75 s, the same for the same seed and rate.
///
/// `sample_rate_hz` from 44 100 to 192 000 Hz.
#[must_use]
pub fn sing(sample_rate_hz: f64, seed: u64) -> Song {
    let segments = plan::plan(sample_rate_hz, &mut Random::new(seed, 1));
    let audio = perform(&segments, sample_rate_hz, seed);
    let labels = segments.into_iter().map(|segment| segment.label).collect();
    Song {
        sample_rate_hz,
        audio,
        labels,
    }
}

/// The sound of segments that follow one another from sample 0.
pub fn perform(segments: &[Segment], sample_rate_hz: f64, seed: u64) -> Vec<f32> {
    let mut sound = voiced(segments, sample_rate_hz, Random::new(seed, 2));
    level_voice(segments, sample_rate_hz, &mut sound);
    add_noises(segments, sample_rate_hz, &mut Random::new(seed, 3), &mut sound);
    // White noise that is even between -1 and 1 has a mean square of a third.
    let room = (3.0 * 10f64.powf(ROOM_DB / 10.0)).sqrt();
    let mut random = Random::new(seed, 4);
    sound
        .into_iter()
        .map(|sample| (sample + room * random.noise()) as f32)
        .collect()
}

/// The voice as it would sound if it never stopped, at no level in particular.
fn voiced(segments: &[Segment], sample_rate_hz: f64, random: Random) -> Vec<f64> {
    let first_pitch_hz = segments.first().map_or(220.0, |segment| segment.pitch_hz);
    let mut source = Source::new(sample_rate_hz, first_pitch_hz, random);
    let mut tract = Tract::new(sample_rate_hz);
    let mut formants_hz = segments
        .iter()
        .find_map(|segment| segment.part.voice)
        .map_or([500.0, 1500.0, 2500.0], |voice| voice.formants_hz[0]);
    let mut sound = Vec::with_capacity(segments.last().map_or(0, |segment| segment.label.end));
    for segment in segments {
        let from_hz = formants_hz;
        let effort = plan::effort(segment.label.section);
        let muffle_hz = segment
            .part
            .voice
            .and_then(|voice| voice.muffle_hz)
            .unwrap_or(OPEN_HZ);
        let length = segment.label.end - segment.label.start;
        for index in 0..length {
            let since_s = index as f64 / sample_rate_hz;
            let pulse = source.next(segment.pitch_hz, since_s, effort);
            let share = index as f64 / length as f64;
            sound.push(tract.process(pulse, muffle_hz, || {
                formants_hz = mouth(segment, from_hz, since_s, share);
                formants_hz
            }));
        }
    }
    sound
}

/// Where the mouth is `since_s` into a segment, `share` of its length, coming from `from_hz`.
fn mouth(segment: &Segment, from_hz: Formants, since_s: f64, share: f64) -> Formants {
    let Some(voice) = segment.part.voice else {
        return from_hz;
    };
    let arrived = raised_cosine(since_s / TRANSITION_S);
    let glided = raised_cosine((share - 0.3) / 0.6);
    std::array::from_fn(|formant| {
        let [begin, end] = voice.formants_hz.map(|formants| formants[formant]);
        let aim = begin + glided * (end - begin);
        from_hz[formant] + arrived * (aim - from_hz[formant])
    })
}

/// Brings the voice of every segment to its level, and silences it where there is none.
fn level_voice(segments: &[Segment], sample_rate_hz: f64, sound: &mut [f64]) {
    let gains: Vec<Option<f64>> = segments
        .iter()
        .map(|segment| voice_gain(segment, sound))
        .collect();
    let edge = EDGE_S * sample_rate_hz;
    for (index, segment) in segments.iter().enumerate() {
        let gain = gains[index].unwrap_or(0.0);
        let before = index
            .checked_sub(1)
            .and_then(|before| gains[before])
            .unwrap_or(0.0);
        // Where the voice stops it fades inside its own segment: the next one's label holds from its first sample.
        let stops = gains.get(index + 1).is_none_or(Option::is_none);
        let start = if gain == 0.0 { 0.0 } else { before };
        let stretch = &mut sound[segment.label.start..segment.label.end];
        let length = stretch.len();
        for (index, sample) in stretch.iter_mut().enumerate() {
            let rise = raised_cosine(index as f64 / edge);
            let fall = if stops {
                raised_cosine((length - index) as f64 / edge)
            } else {
                1.0
            };
            *sample *= (start + rise * (gain - start)) * fall;
        }
    }
}

/// The gain that brings a segment's voice to its level, linear.
fn voice_gain(segment: &Segment, sound: &[f64]) -> Option<f64> {
    segment.part.voice?;
    let stretch = &sound[segment.label.start..segment.label.end];
    let power = stretch.iter().map(|sample| sample * sample).sum::<f64>() / stretch.len() as f64;
    Some((10f64.powf(segment.voice_db / 10.0) / power).sqrt())
}

fn add_noises(segments: &[Segment], sample_rate_hz: f64, random: &mut Random, sound: &mut [f64]) {
    for segment in segments {
        let Some(noise) = segment.part.noise else {
            continue;
        };
        let stretch = &mut sound[segment.label.start..segment.label.end];
        let rendered = fricatives::render(&noise, segment.noise_db, stretch.len(), sample_rate_hz, random);
        for (sample, noise) in stretch.iter_mut().zip(rendered) {
            *sample += noise;
        }
    }
}
