//! Somebody else who talks where the lead rests.

use std::ops::Range;
use std::sync::LazyLock;

use super::level::{Voice, at_level, exchange};
use crate::measurement::voices::corpus::resample::resampled;
use crate::measurement::voices::corpus::{Phone, Recording, Sound};
use crate::measurement::voices::signals::parts;
use crate::measurement::voices::singer::random::Random;
use crate::measurement::voices::singer::{Kind, sing};

/// A rest with room for a word, s, and what stays clear on each side of it, s.
const REST_S: f64 = 0.25;
const CLEAR_S: f64 = 0.03;
/// Level re the lead around it, LU: common practice for talk-back and bleed, no source.
const LEVEL_LU: [f64; 2] = [-18.0, -12.0];
/// How long it talks at most where it is the lead that makes no rest, s.
const AFTER_S: f64 = 1.5;
/// Another throat than any of the singers that are measured.
const OTHER_SEED: u64 = 4242;
/// The lowest rate at which the other sings, Hz.
const SINGS_AT_HZ: f64 = 48_000.0;
/// From silence and to silence, s.
const FADE_S: f64 = 0.01;

/// Words of another voice in every labelled rest between two sounds that has room, or after the end where none has. The rests stay rests: nothing of
/// the lead is in them.
pub fn add(recording: &Recording, seed: u64) -> Recording {
    let rate_hz = recording.sample_rate_hz;
    let mut random = Random::new(seed, 14);
    let clear = (CLEAR_S * rate_hz) as usize;
    let mut rests = rests(recording, (REST_S * rate_hz) as usize, clear);
    let mut audio = recording.audio.clone();
    if rests.is_empty() {
        let start = audio.len() + clear;
        rests.push(start..start + (AFTER_S * rate_hz) as usize);
        audio.resize(start + (AFTER_S * rate_hz) as usize + clear, 0.0);
    }
    let voice = Voice::of(recording);
    if !voice.lufs().is_finite() {
        return recording.with_audio(audio);
    }
    let other = resampled(&SAID, SINGS_AT_HZ, rate_hz);
    for rest in rests {
        let length = rest.len().min(other.len());
        let from = random.between(0.0, (other.len() - length) as f64) as usize;
        let level_lufs = voice.lufs_near(rest.start) + random.between(LEVEL_LU[0], LEVEL_LU[1]);
        let said = at_level(&other[from..from + length], rate_hz, 0..length, level_lufs);
        let (old, stretch) = (vec![0.0; length], rest.start..rest.start + length);
        exchange(&mut audio[stretch], &old, &said, FADE_S * rate_hz);
    }
    recording.with_audio(audio)
}

/// Labelled rests between the first and the last sound, less what stays clear. Whether they are quiet is not asked: a
/// leveller lifts what a voice leaves in them.
fn rests(recording: &Recording, shortest: usize, clear: usize) -> Vec<Range<usize>> {
    let is_rest = |phone: &&Phone| phone.sound == Sound::Rest;
    let mut sounds = recording.phones.iter().filter(|phone| !is_rest(phone));
    let (Some(first), last) = (sounds.next(), sounds.next_back()) else {
        return Vec::new();
    };
    let bounds = first.span.end..last.map_or(0, |last| last.span.start);
    let between = recording.phones.iter().filter(is_rest).map(|phone| &phone.span);
    between
        .filter(|span| span.start >= bounds.start && span.end <= bounds.end && span.len() >= shortest)
        .map(|span| span.start + clear..span.end - clear)
        .collect()
}

/// What the other says: the same for every lead, so sung once.
static SAID: LazyLock<Vec<f32>> = LazyLock::new(|| {
    let song = sing(SINGS_AT_HZ, OTHER_SEED);
    let said = song
        .labels
        .iter()
        .filter(|label| !matches!(label.kind, Kind::Rest | Kind::Breath));
    parts(&song.audio, said.map(|label| label.start..label.end))
});

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::{difference, level_lufs, songs};

    /// Rests of the lead in which something else is heard.
    fn heard(before: &Recording, after: &Recording) -> Vec<Phone> {
        let rests = before.of(Sound::Rest).filter(|phone| {
            let changed = |sample: usize| before.audio.get(sample) != after.audio.get(sample);
            phone.span.clone().any(changed)
        });
        rests.cloned().collect()
    }

    #[test]
    fn another_voice_fills_rests_12_to_18_lu_under_the_lead() {
        for song in songs() {
            let rate_hz = song.sample_rate_hz;
            let after = add(song, 1);
            let added = difference(&after.audio, &song.audio);
            let lead = Voice::of(song);
            let rests = heard(song, &after);
            assert!(rests.len() > 3, "{} rests", rests.len());
            for rest in rests {
                let filled: Vec<f32> = added[rest.span.clone()].to_vec();
                let under_lu = level_lufs(&filled, rate_hz) - lead.lufs_near(rest.span.start);
                // Less than that where much of the rest stays clear.
                assert!((-22.0..-11.0).contains(&under_lu), "{under_lu:.1} LU");
            }
        }
    }

    #[test]
    fn where_the_lead_makes_no_rest_the_other_talks_after_it() {
        let [song, _] = songs();
        let mut unlabelled = song.clone();
        unlabelled.phones.clear();
        let after = add(&unlabelled, 1);
        assert!(after.audio.len() > song.audio.len());
        assert_eq!(after.audio[..song.audio.len()], song.audio);
    }
}
