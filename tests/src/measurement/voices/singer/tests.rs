use std::sync::LazyLock;

use super::performance::perform;
use super::plan::{ANCHOR_EFFORT_DB, plan};
use super::random::Random;
use super::score::Line;
use super::*;
use crate::measurement::levels::{above, near};
use crate::measurement::voices::signals::{peak, power_db};

const RATE_HZ: f64 = 48_000.0;

static SONG: LazyLock<Song> = LazyLock::new(|| sing(RATE_HZ, 1));

/// One syllable sung many times over at the effort at which the published levels hold.
fn drill(syllable: &'static str) -> Song {
    let syllables = vec![(syllable, 62.0, 300.0); 40].leak();
    let line = Line {
        section: Section::Chorus,
        syllables,
    };
    let segments = plan(&[line], |_| ANCHOR_EFFORT_DB, RATE_HZ, &mut Random::new(5, 0));
    let audio = perform(&segments, RATE_HZ, 5);
    Song {
        sample_rate_hz: RATE_HZ,
        audio,
        labels: segments.into_iter().map(|segment| segment.label).collect(),
    }
}

fn stretches(song: &Song, belongs: impl Fn(&Label) -> bool) -> Vec<&[f32]> {
    song.labels
        .iter()
        .filter(|label| belongs(label))
        .map(|label| &song.audio[label.start..label.end])
        .collect()
}

/// Mean level of stretches, each by its mean square, dB re full scale.
fn mean_db(song: &Song, belongs: impl Fn(&Label) -> bool) -> f64 {
    let stretches = stretches(song, belongs);
    assert!(!stretches.is_empty());
    let sum: f64 = stretches.iter().map(|sound| power_db(sound)).sum();
    sum / stretches.len() as f64
}

/// Frequency of the greatest power from 700 Hz up, Hz: beyond the voice bar.
fn peak_hz(sounds: &[&[f32]]) -> f64 {
    crate::measurement::levels::peak_hz(&above(&sounds.concat(), RATE_HZ, 700.0), RATE_HZ).into()
}

/// The share of the power that lies between two frequencies.
fn share_between(low_hz: f64, high_hz: f64, sounds: &[&[f32]]) -> f64 {
    let power = |sound: &[f32]| 10_f64.powf(power_db(sound) / 10.0);
    let sound = sounds.concat();
    let [low, high] = [low_hz, high_hz].map(|hz| power(&above(&sound, RATE_HZ, hz)));
    (low - high) / power(&sound)
}

#[test]
fn the_same_seed_sings_the_same_and_another_sings_otherwise() {
    let again = sing(RATE_HZ, 1);
    assert_eq!(SONG.audio, again.audio);
    assert_eq!(SONG.labels, again.labels);
    assert_ne!(SONG.audio, sing(RATE_HZ, 2).audio);
}

#[test]
fn every_rate_lasts_60_to_75_s_and_stays_below_full_scale() {
    for rate_hz in [44_100.0, 48_000.0, 96_000.0, 192_000.0] {
        let song = sing(rate_hz, 3);
        assert!(
            (60.0..75.0).contains(&song.duration_s()),
            "{rate_hz}: {} s",
            song.duration_s()
        );
        let peak = peak(&song.audio);
        assert!((0.1..1.0).contains(&peak), "{rate_hz}: {peak}");
        assert_eq!(song.labels.last().unwrap().end, song.audio.len());
    }
}

#[test]
fn labels_leave_no_gap_and_sections_follow_one_another() {
    assert_eq!(SONG.labels[0].start, 0);
    for pair in SONG.labels.windows(2) {
        assert_eq!(pair[0].end, pair[1].start);
        assert!(pair[1].start < pair[1].end);
    }
    let [verse, middle, chorus] = Section::ALL.map(|section| SONG.section_span(section));
    assert_eq!(
        (verse.start, verse.end, middle.end),
        (0, middle.start, chorus.start)
    );
    assert_eq!(chorus.end, SONG.audio.len());
}

#[test]
fn the_song_starts_with_a_breath_and_then_a_voice() {
    for seed in 0..5 {
        let labels = sing(44_100.0, seed).labels;
        assert_eq!(labels[0].kind, Kind::Breath);
        assert!(matches!(labels[1].kind, Kind::Vowel | Kind::Sonorant));
    }
}

#[test]
fn every_section_has_its_sibilants_and_every_sibilant_a_vowel_near() {
    let near = RATE_HZ as usize;
    for section in Section::ALL {
        let labels = SONG.labels.iter().filter(|label| label.section == section);
        let sibilants: Vec<&Label> = labels.filter(|label| label.kind == Kind::Sibilant).collect();
        assert!(sibilants.len() >= 20, "{}: {}", section.name(), sibilants.len());
        for sibilant in sibilants {
            let vowel = SONG.labels.iter().any(|label| {
                label.kind == Kind::Vowel
                    && label.start < sibilant.end + near
                    && sibilant.start < label.end + near
            });
            assert!(vowel, "{sibilant:?}");
        }
    }
}

#[test]
fn fricatives_have_the_published_levels_at_the_anchor() {
    let table = [
        ("aa s", "s", -11.0),
        ("aa z", "z", -9.0),
        ("aa sh", "sh", -9.9),
        ("aa zh", "zh", -8.3),
        ("aa f", "f", -20.8),
        ("aa v", "v", -13.1),
        ("aa th", "th", -21.9),
        ("aa dh", "dh", -14.0),
    ];
    for (syllable, symbol, published_db) in table {
        let song = drill(syllable);
        let level_db = mean_db(&song, |label| label.symbol == symbol)
            - mean_db(&song, |label| label.kind == Kind::Vowel);
        near(level_db, published_db, 1.5, symbol);
    }
}

#[test]
fn fricatives_peak_where_they_should() {
    let table = [
        ("aa s", "s", 6839.0),
        ("aa z", "z", 6839.0),
        ("aa sh", "sh", 3820.0),
        ("aa zh", "zh", 3820.0),
    ];
    for (syllable, symbol, published_hz) in table {
        let song = drill(syllable);
        let hz = peak_hz(&stretches(&song, |label| label.symbol == symbol));
        assert!((hz / published_hz - 1.0).abs() < 0.1, "{symbol}: {hz} Hz");
    }
    let song = drill("aa s");
    let share = share_between(4000.0, 10_000.0, &stretches(&song, |label| label.symbol == "s"));
    assert!(share > 0.8, "{share}");
}

#[test]
fn the_chorus_is_18_db_louder_and_its_sibilants_6() {
    for seed in 0..6 {
        let song = sing(RATE_HZ, seed);
        let rise_db = |kind: Kind| {
            let level_db = |section| mean_db(&song, |label| label.kind == kind && label.section == section);
            level_db(Section::Chorus) - level_db(Section::Verse)
        };
        let [vowels_db, sibilants_db] = [Kind::Vowel, Kind::Sibilant].map(rise_db);
        near(vowels_db, 18.0, 1.0, seed);
        near(sibilants_db, 6.0, 1.5, seed);
    }
}

#[test]
fn vowels_hold_little_above_4_khz() {
    for section in Section::ALL {
        let vowels = stretches(&SONG, |label| {
            label.kind == Kind::Vowel && label.section == section
        });
        for vowel in vowels {
            let share_db = 10.0 * share_between(4000.0, 24_000.0, &[vowel]).log10();
            assert!(
                (-36.0..-20.0).contains(&share_db),
                "{}: {share_db:.1} dB",
                section.name()
            );
        }
    }
}

#[test]
fn breaths_are_as_published() {
    let breaths = stretches(&SONG, |label| label.kind == Kind::Breath);
    let hz = peak_hz(&breaths);
    assert!((1500.0..=1800.0).contains(&hz), "{hz} Hz");
    for breath in breaths {
        let length_ms = 1e3 * breath.len() as f64 / RATE_HZ;
        assert!((50.0..1225.0).contains(&length_ms), "{length_ms} ms");
    }
    for (section, under_db) in [(Section::Verse, 25.0..32.0), (Section::Middle, 18.0..24.0)] {
        let level_db = |kind: Kind| mean_db(&SONG, |label| label.kind == kind && label.section == section);
        let under = level_db(Kind::Vowel) - level_db(Kind::Breath);
        assert!(
            under_db.contains(&under),
            "{}: {under:.1} dB under",
            section.name()
        );
    }
}
