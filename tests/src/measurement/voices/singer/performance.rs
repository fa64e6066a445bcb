//! The singer: segments into sound.

use super::formants::{Top, Tract};
use super::fricatives::{self, raised_cosine};
use super::labels::{Kind, Song};
use super::phonemes::Formants;
use super::plan::{self, Segment};
use super::random::Random;
use super::score::LINES;
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
pub fn sing(sample_rate_hz: f64, seed: u64) -> Song {
    sing_along(sample_rate_hz, seed, seed)
}

/// The song as one singer times and phrases it, sung by the voice of another: a double to the sample, but for breath,
/// pitch and noise.
///
/// `sample_rate_hz` from 44 100 to 192 000 Hz.
pub fn sing_along(sample_rate_hz: f64, lead_seed: u64, seed: u64) -> Song {
    let random = &mut Random::new(lead_seed, 1);
    let segments = plan::plan(&LINES, plan::effort_db, sample_rate_hz, random);
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
    let Voiced { whole, top } = voiced(segments, sample_rate_hz, Random::new(seed, 2));
    let whole_db = |segment: &Segment| segment.part.voice.map(|_| segment.voice_db);
    let whole = levelled(whole, segments, sample_rate_hz, whole_db);
    let top = levelled(top, segments, sample_rate_hz, top_db);
    let noise = noises(segments, sample_rate_hz, &mut Random::new(seed, 3));
    // White noise that is even between -1 and 1 has a mean square of a third.
    let room = (3.0 * 10f64.powf(ROOM_DB / 10.0)).sqrt();
    let mut random = Random::new(seed, 4);
    whole
        .into_iter()
        .zip(top)
        .zip(noise)
        .map(|((whole, top), noise)| (whole + top + noise + room * random.noise()) as f32)
        .collect()
}

/// The voice as it would sound if it never stopped, at no level in particular.
struct Voiced {
    /// Out of the mouth.
    whole: Vec<f64>,
    /// What to add above 4 kHz.
    top: Vec<f64>,
}

fn voiced(segments: &[Segment], sample_rate_hz: f64, random: Random) -> Voiced {
    let first_pitch_hz = segments.first().map_or(220.0, |segment| segment.pitch_hz);
    let mut source = Source::new(sample_rate_hz, first_pitch_hz, random);
    let mut tract = Tract::new(sample_rate_hz);
    let mut top = Top::new(sample_rate_hz);
    let mut formants_hz = segments
        .iter()
        .find_map(|segment| segment.part.voice)
        .map_or([500.0, 1500.0, 2500.0], |voice| voice.formants_hz[0]);
    let mut sound = Voiced {
        whole: Vec::new(),
        top: Vec::new(),
    };
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
            let flow = source.next(segment.pitch_hz, since_s, effort);
            sound.top.push(top.process(flow.top));
            sound.whole.push(tract.process(flow.whole, muffle_hz, || {
                formants_hz = mouth(segment, from_hz, since_s, index as f64 / length as f64);
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

/// Level of the top of a segment's voice, dB re full scale; none where the mouth is not open.
fn top_db(segment: &Segment) -> Option<f64> {
    (segment.label.kind == Kind::Vowel).then(|| segment.voice_db + plan::effort(segment.label.section).top_db)
}

/// A voice brought to the level of each segment, and silenced where there is none.
fn levelled(
    mut sound: Vec<f64>,
    segments: &[Segment],
    sample_rate_hz: f64,
    level_db: fn(&Segment) -> Option<f64>,
) -> Vec<f64> {
    let gains: Vec<Option<f64>> = segments
        .iter()
        .map(|segment| {
            Some(gain_to(
                level_db(segment)?,
                &sound[segment.label.start..segment.label.end],
            ))
        })
        .collect();
    let edge = EDGE_S * sample_rate_hz;
    let mut before = None;
    for (index, segment) in segments.iter().enumerate() {
        let gain = gains[index];
        // Where the voice stops it fades inside its own segment: the next one's label holds from its first sample.
        let stops = gains.get(index + 1).is_none_or(Option::is_none);
        let stretch = &mut sound[segment.label.start..segment.label.end];
        let length = stretch.len();
        let [from, to] = gain.map_or([0.0; 2], |gain| [before.unwrap_or(0.0), gain]);
        for (position, sample) in stretch.iter_mut().enumerate() {
            let rise = raised_cosine(position as f64 / edge);
            let fall = if stops {
                raised_cosine((length - position) as f64 / edge)
            } else {
                1.0
            };
            *sample *= (from + rise * (to - from)) * fall;
        }
        before = gain;
    }
    sound
}

/// The gain that brings a sound to a mean square level, linear.
fn gain_to(level_db: f64, sound: &[f64]) -> f64 {
    let power = sound.iter().map(|sample| sample * sample).sum::<f64>() / sound.len() as f64;
    (10f64.powf(level_db / 10.0) / power).sqrt()
}

/// The noise of every segment that has one, in its place.
fn noises(segments: &[Segment], sample_rate_hz: f64, random: &mut Random) -> Vec<f64> {
    segments
        .iter()
        .flat_map(|segment| {
            let length = segment.label.end - segment.label.start;
            segment.part.noise.map_or_else(
                || vec![0.0; length],
                |noise| fricatives::render(&noise, segment.noise_db, length, sample_rate_hz, random),
            )
        })
        .collect()
}
