//! Sections that begin with a sibilant, after a rest and a breath, louder or softer than before.

use std::ops::Range;

use super::breath_noise::breath;
use super::level::{Voice, at_level, scaled};
use crate::measurement::voices::corpus::{Phone, Recording, Sound};
use crate::measurement::voices::singer::random::Random;

/// Level of one section after another, dB re the recording: jumps of 12 and 18 dB, down and up.
const LEVELS_DB: [f64; 4] = [0.0, -12.0, 0.0, -18.0];
/// All of these jumps are heard.
const FEWEST_SECTIONS: usize = 5;
/// The shortest section and the silence before each, s: a line and a bar of rest (common practice, no source).
const SECTION_S: f64 = 2.5;
const REST_S: f64 = 1.5;
/// After a sibilant that begins a word a vowel follows within so much, s.
const VOWEL_WITHIN_S: f64 = 0.15;
/// Length of the breath, how long before the sibilant it ends, s, and its level re the new section's voice, LU: as in
/// close breaths.
const BREATH_S: [f64; 2] = [0.25, 0.7];
const BREATH_ENDS_S: f64 = 0.1;
const BREATH_LU: [f64; 2] = [-25.0, -10.0];
/// At both ends of a section, s: a cut would click.
const FADE_S: f64 = 0.002;

/// The recording cut where a word begins with a sibilant, its sections in order and again until all jumps were heard.
/// Without such a word it stays as it is.
pub fn after_rests(recording: &Recording, seed: u64) -> Recording {
    let sections = sections(recording);
    let lufs = Voice::of(recording).lufs();
    if sections.is_empty() || !lufs.is_finite() {
        return recording.clone();
    }
    let mut random = Random::new(seed, 15);
    let mut made = Recording {
        phones: Vec::new(),
        ..recording.with_audio(Vec::new())
    };
    let count = sections.len().max(FEWEST_SECTIONS);
    for (section, level_db) in sections
        .iter()
        .cycle()
        .take(count)
        .zip(LEVELS_DB.into_iter().cycle())
    {
        rest(&mut made, lufs + level_db, &mut random);
        append(&mut made, recording, section, level_db);
    }
    made
}

/// From one word that begins with a sibilant to the next that begins late enough; the last to the end.
fn sections(recording: &Recording) -> Vec<Range<usize>> {
    let samples = |s: f64| (s * recording.sample_rate_hz) as usize;
    let begins_word = |pair: &&[Phone]| {
        let vowel_near = pair[1].span.start <= pair[0].span.end + samples(VOWEL_WITHIN_S);
        pair[0].sound.is_sibilant() && pair[1].sound == Sound::Vowel && vowel_near
    };
    let mut starts: Vec<usize> = Vec::new();
    for pair in recording.phones.windows(2).filter(begins_word) {
        let start = pair[0].span.start;
        if starts
            .last()
            .is_none_or(|last| start >= last + samples(SECTION_S))
        {
            starts.push(start);
        }
    }
    let ends = starts.iter().skip(1).copied().chain([recording.audio.len()]);
    starts
        .iter()
        .copied()
        .zip(ends)
        .map(|(start, end)| start..end)
        .collect()
}

/// Silence and a breath at the end of what is made.
fn rest(made: &mut Recording, voice_lufs: f64, random: &mut Random) {
    let rate_hz = made.sample_rate_hz;
    let start = made.audio.len();
    let end = start + (REST_S * rate_hz) as usize;
    made.audio.resize(end, 0.0);
    let length = (random.between(BREATH_S[0], BREATH_S[1]) * rate_hz) as usize;
    let breath_end = end - (BREATH_ENDS_S * rate_hz) as usize;
    let span = breath_end - length..breath_end;
    let level_lufs = voice_lufs + random.between(BREATH_LU[0], BREATH_LU[1]);
    let sound = breath(length, rate_hz, random);
    made.audio[span.clone()].copy_from_slice(&at_level(&sound, rate_hz, 0..length, level_lufs));
    for (symbol, sound, span) in [
        ("rest", Sound::Rest, start..span.start),
        ("breath", Sound::Breath, span.clone()),
        ("rest", Sound::Rest, span.end..end),
    ] {
        made.phones.push(Phone::new(symbol, sound, span));
    }
}

/// A section with its labels at the end of what is made.
fn append(made: &mut Recording, recording: &Recording, section: &Range<usize>, level_db: f64) {
    let start = made.audio.len();
    let fade = FADE_S * recording.sample_rate_hz;
    let mut sound = scaled(&recording.audio[section.clone()], level_db);
    let length = sound.len();
    for (index, sample) in sound.iter_mut().enumerate() {
        *sample *= (index.min(length - 1 - index) as f64 / fade).min(1.0) as f32;
    }
    made.audio.extend(sound);
    let inside = recording
        .phones
        .iter()
        .filter(|phone| phone.span.start >= section.start && phone.span.end <= section.end);
    let moved = |sample: usize| sample - section.start + start;
    made.phones
        .extend(inside.map(|phone| phone.at(moved(phone.span.start)..moved(phone.span.end))));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measurement::voices::conditions::tests::songs;

    #[test]
    fn each_section_begins_with_a_sibilant_after_a_rest_and_lies_at_its_level() {
        for song in songs() {
            let after = after_rests(song, 1);
            let begins: Vec<usize> = (1..after.phones.len())
                .filter(|at| after.phones[at - 1].symbol == "rest" && after.phones[*at].sound.is_sibilant())
                .collect();
            assert!(begins.len() >= FEWEST_SECTIONS, "{begins:?}");
            let ordered = after
                .phones
                .windows(2)
                .all(|pair| pair[0].span.end <= pair[1].span.start);
            assert!(ordered && after.phones.last().unwrap().span.end <= after.audio.len());
        }
    }

    #[test]
    fn levels_jump_by_12_and_18_db() {
        let [song, _] = songs();
        let sections = sections(song);
        let mut made = song.with_audio(Vec::new());
        made.phones.clear();
        append(&mut made, song, &sections[0], 0.0);
        append(&mut made, song, &sections[0], -18.0);
        let length = sections[0].len();
        for sample in [length / 3, length / 2] {
            let change = made.audio[length + sample] / made.audio[sample];
            assert!((20.0 * change.log10() + 18.0).abs() < 0.01);
        }
    }

    #[test]
    fn without_a_word_that_begins_with_a_sibilant_nothing_changes() {
        let [song, _] = songs();
        let mut other = song.clone();
        other.phones.retain(|phone| phone.sound == Sound::Vowel);
        assert_eq!(after_rests(&other, 1).audio, other.audio);
    }
}
