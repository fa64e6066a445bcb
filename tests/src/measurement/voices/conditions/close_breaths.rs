//! Breaths close to the microphone.

use std::ops::Range;

use super::breath_noise::breath;
use super::level::{Voice, at_level, mixed};
use super::silence::gaps;
use crate::measurement::voices::corpus::{Phone, Recording, Sound};
use crate::measurement::voices::singer::random::Random;

/// A gap with room for a breath, s, and what stays clear on each side of it, s.
const GAP_S: f64 = 0.35;
const CLEAR_S: f64 = 0.06;
/// Length of a breath, s (Nakano et al. 2008).
const LENGTH_S: [f64; 2] = [0.05, 1.225];
/// Level re the voice around it, LU: common practice for an unedited close voice, no source.
const LEVEL_LU: [f64; 2] = [-25.0, -10.0];

/// A breath, labelled, in every gap that has room for it, or one after the end where none has.
pub fn add(recording: &Recording, seed: u64) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let mut random = Random::new(seed, 2);
    let spans: Vec<Range<usize>> = gaps(recording, (GAP_S * rate_hz) as usize)
        .iter()
        .map(|gap| within(gap, rate_hz, &mut random))
        .collect();
    if spans.is_empty() {
        let start = recording.audio.len() + (CLEAR_S * rate_hz) as usize;
        let span = start..start + (random.between(LENGTH_S[0], LENGTH_S[1]) * rate_hz) as usize;
        breathed(recording, &[span], &mut random)
    } else {
        breathed(recording, &spans, &mut random)
    }
}

/// A span of random length at a random place in a gap.
fn within(gap: &Range<usize>, rate_hz: f64, random: &mut Random) -> Range<usize> {
    let clear_samples = (CLEAR_S * rate_hz) as usize;
    let room = gap.start + clear_samples..gap.end - clear_samples;
    let [shortest, longest] = LENGTH_S.map(|s| s * rate_hz);
    let length = random.between(shortest, longest.min(room.len() as f64)) as usize;
    let start = room.start + random.between(0.0, (room.len() - length) as f64) as usize;
    start..start + length
}

/// The recording with a breath at each span.
fn breathed(recording: &Recording, spans: &[Range<usize>], random: &mut Random) -> Recording {
    let voice = Voice::of(recording);
    let rate_hz = recording.sample_rate_hz;
    let end = spans.last().map_or(0, |span| span.end);
    let mut added = vec![0.0; recording.audio.len().max(end)];
    for span in spans {
        let sound = breath(span.len(), rate_hz, random);
        let level_lufs = voice.lufs_near(span.start) + random.between(LEVEL_LU[0], LEVEL_LU[1]);
        added[span.clone()].copy_from_slice(&at_level(&sound, rate_hz, 0..sound.len(), level_lufs));
    }
    let mut audio = recording.audio.clone();
    audio.resize(added.len(), 0.0);
    Recording {
        phones: labelled(&recording.phones, spans),
        ..mixed(&recording.with_audio(audio), &added)
    }
}

/// The labels with a breath at each span; a rest makes room for it and goes on after it.
fn labelled(phones: &[Phone], spans: &[Range<usize>]) -> Vec<Phone> {
    let breaths = spans
        .iter()
        .map(|span| Phone::new("breath", Sound::Breath, span.clone()));
    let kept = phones.iter().flat_map(|phone| match phone.sound {
        Sound::Rest => without(phone, spans),
        _ => vec![phone.clone()],
    });
    let mut all: Vec<Phone> = kept.chain(breaths).collect();
    all.sort_by_key(|phone| phone.span.start);
    all
}

/// What the spans leave of a rest.
fn without(rest: &Phone, spans: &[Range<usize>]) -> Vec<Phone> {
    let edges =
        |span: &Range<usize>| [span.start, span.end].map(|edge| edge.clamp(rest.span.start, rest.span.end));
    let inner = spans.iter().flat_map(edges);
    let bounds: Vec<usize> = [rest.span.start]
        .into_iter()
        .chain(inner)
        .chain([rest.span.end])
        .collect();
    bounds
        .chunks_exact(2)
        .filter(|pair| pair[0] < pair[1])
        .map(|pair| rest.at(pair[0]..pair[1]))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::{
        difference, level_lufs, peak_hz, power_at_db, songs, tone,
    };

    /// The breaths that were added to a song: where, and their sound alone.
    fn added(song: &Recording, seed: u64) -> Vec<(Range<usize>, Vec<f32>)> {
        let after = add(song, seed);
        let sound = difference(&after.audio, &song.audio);
        let new = after
            .of(Sound::Breath)
            .filter(|breath| !song.phones.contains(breath));
        new.map(|breath| (breath.span.clone(), sound[breath.span.clone()].to_vec()))
            .collect()
    }

    #[test]
    fn every_rest_gets_a_breath_of_human_length_clear_of_its_neighbours() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let rests = song.spans(|sound| sound == Sound::Rest);
            let breaths = added(song, 1);
            // The rest that ends the song is no gap.
            assert_eq!(breaths.len(), rests.len() - 1);
            for ((breath, _), rest) in breaths.iter().zip(rests) {
                assert!((0.05..1.225).contains(&(breath.len() as f64 / rate_hz)));
                let clear_samples = (0.06 * rate_hz) as usize;
                assert!(
                    breath.start >= rest.start + clear_samples,
                    "{breath:?} in {rest:?}"
                );
                assert!(breath.end + clear_samples <= rest.end, "{breath:?} in {rest:?}");
            }
        }
    }

    #[test]
    fn labels_stay_in_order_without_overlap_and_the_rests_go_on() {
        for song in songs() {
            let after = add(song, 2);
            for pair in after.phones.windows(2) {
                assert_eq!(pair[0].span.end, pair[1].span.start, "{pair:?}");
                assert!(pair[0].span.start < pair[0].span.end, "{pair:?}");
            }
            let sounding = |recording: &Recording| {
                let phones = recording.phones.iter().cloned();
                phones
                    .filter(|phone| !matches!(phone.sound, Sound::Rest | Sound::Breath))
                    .collect::<Vec<_>>()
            };
            assert_eq!(sounding(&after), sounding(song));
        }
    }

    #[test]
    fn breaths_lie_10_to_25_lu_under_the_voice_and_nothing_else_changes() {
        for song in songs() {
            let voice = Voice::of(song);
            let mut left = difference(&add(song, 3).audio, &song.audio);
            for (span, sound) in added(song, 3) {
                let under_lu = level_lufs(&sound, song.sample_rate_hz) - voice.lufs_near(span.start);
                assert!((-25.1..-9.9).contains(&under_lu), "{under_lu:.1} LU");
                left[span].fill(0.0);
            }
            assert!(left.iter().all(|sample| *sample == 0.0));
        }
    }

    #[test]
    fn breaths_peak_near_1600_hz_and_fall_above() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let all: Vec<f32> = (0..8)
                .flat_map(|seed| added(song, seed))
                .flat_map(|breath| breath.1)
                .collect();
            let hz = peak_hz(&all, rate_hz);
            assert!((1300.0..2000.0).contains(&hz), "{rate_hz} Hz: {hz} Hz");
            let slope_db = (power_at_db(&all, rate_hz, 6800.0) - power_at_db(&all, rate_hz, 1700.0)) / 2.0;
            assert!((-11.0..-6.0).contains(&slope_db), "{slope_db:.1} dB an octave");
        }
    }

    #[test]
    fn where_there_is_no_rest_a_breath_follows_the_end() {
        let tone = tone(300.0, 16_000.0);
        let after = add(&tone, 1);
        let [breath] = &after.phones[..] else {
            panic!("one breath: {:?}", after.phones);
        };
        assert_eq!(breath.sound, Sound::Breath);
        assert_eq!(breath.span.start, tone.audio.len() + 960);
        assert_eq!(breath.span.end, after.audio.len());
        assert_eq!(after.audio[..tone.audio.len()], tone.audio);
        assert!(
            after.audio[breath.span.clone()]
                .iter()
                .any(|sample| *sample != 0.0)
        );
    }
}
