//! The sections of songs whose sections are known: the singer's own song, and five that are put together from its parts.

use std::ops::Range;

use siskin_dsp::{Settings, SongSection, VoiceLevels};
use siskin_tests::measurement::figures::properties::{Layout, Play, RATE_HZ};
use siskin_tests::measurement::voices::signals::noise;
use siskin_tests::measurement::voices::singer::Section::{self, Chorus, Middle, Verse};
use siskin_tests::measurement::voices::singer::{Kind, Song, sing};

/// The goal: borders within this, s.
const BORDER_S: f32 = 0.5;
/// The room between two parts, linear: about that of the singer.
const ROOM: f32 = 2e-4;

/// A part of a made song.
struct Part {
    section: Section,
    gain_db: f32,
    /// Silence of the room before it, s.
    rest_s: f64,
    /// Whether a section begins with it: a rest before it, or a lasting change of more than 4 LU.
    begins: bool,
}

const fn part(section: Section, gain_db: f32, rest_s: f64, begins: bool) -> Part {
    Part {
        section,
        gain_db,
        rest_s,
        begins,
    }
}

/// The verse's voice is 5 dB softer than the middle's, and 18 dB softer than the chorus'.
const SONGS: [&[Part]; 5] = [
    &[part(Verse, 0.0, 0.0, true), part(Verse, 0.0, 3.0, true)],
    &[
        part(Verse, 0.0, 0.0, true),
        part(Verse, 7.0, 0.0, true),
        part(Verse, 0.0, 0.0, true),
    ],
    &[
        part(Chorus, 0.0, 1.0, true),
        part(Verse, 0.0, 2.5, true),
        part(Chorus, 0.0, 0.0, true),
    ],
    &[
        part(Middle, 0.0, 0.0, true),
        part(Middle, 0.0, 4.0, true),
        part(Chorus, 0.0, 2.2, true),
    ],
    &[
        part(Verse, 0.0, 0.0, true),
        part(Verse, 2.0, 0.0, false),
        part(Chorus, -18.0, 2.5, true),
    ],
];

/// The sections that were found in a sound.
fn found(audio: &[f32]) -> Vec<SongSection> {
    let settings = Settings::default();
    let voice = Layout::Mono.lay(audio);
    let play = Play::new(RATE_HZ, &voice, &settings);
    let hop_s = play.engine().hop_samples() as f32 / RATE_HZ as f32;
    let mut levels = VoiceLevels::default();
    play.run()
        .reports
        .iter()
        .for_each(|report| levels.add(report, hop_s));
    levels.sections()
}

/// Where a section is sung, from its first breath to its last sound, samples.
fn sung(song: &Song, section: Section) -> Range<usize> {
    let labels = song
        .labels
        .iter()
        .filter(|label| label.section == section && label.kind != Kind::Rest);
    let end = labels
        .map(|label| label.end)
        .max()
        .expect("every section is sung");
    song.section_span(section).start..end
}

fn assert_sections(name: &str, audio: &[f32], known: &[Range<usize>]) {
    let found = found(audio);
    let seconds = |sample: usize| sample as f32 / RATE_HZ as f32;
    println!("{name}: {found:?}");
    assert_eq!(found.len(), known.len(), "{name}: {found:?} for {known:?}");
    for (index, (found, known)) in found.iter().zip(known).enumerate() {
        let error_s = found.start_s - seconds(known.start);
        assert!(
            error_s.abs() <= BORDER_S,
            "{name}, section {index} begins {error_s} s late"
        );
        // Where no rest follows, it lasts until the next begins.
        let error_s = found.end_s - seconds(known.end);
        assert!(
            (-BORDER_S..=1.0 + BORDER_S).contains(&error_s),
            "{name}, section {index} ends {error_s} s late"
        );
    }
}

#[test]
fn the_song_has_its_three_sections() {
    for seed in [1, 7, 2026] {
        let song = sing(RATE_HZ, seed);
        let known = Section::ALL.map(|section| sung(&song, section));
        assert_sections(&format!("singer {seed}"), &song.audio, &known);
    }
}

#[test]
fn made_songs_have_the_sections_that_they_were_made_of() {
    for (number, parts) in SONGS.into_iter().enumerate() {
        let mut audio: Vec<f32> = Vec::new();
        let mut known: Vec<Range<usize>> = Vec::new();
        for (index, part) in parts.iter().enumerate() {
            let song = sing(RATE_HZ, (10 * number + index) as u64);
            let room = noise(index as u64 + 1).map(|sample| ROOM * sample);
            audio.extend(room.take((part.rest_s * RATE_HZ) as usize));
            let (start, whole) = (audio.len(), song.section_span(part.section));
            let end = start + sung(&song, part.section).len();
            let gain = 10f32.powf(part.gain_db / 20.0);
            audio.extend(song.audio[whole].iter().map(|sample| gain * sample));
            match known.last_mut() {
                Some(last) if !part.begins => last.end = end,
                _ => known.push(start..end),
            }
        }
        assert_sections(&format!("made song {}", number + 1), &audio, &known);
    }
}
