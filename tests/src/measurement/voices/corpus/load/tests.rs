//! Tiny invented corpora in folders of their own.

use tempfile::TempDir;

use super::*;
use crate::measurement::voices::audio_file::{Audio, write};
use crate::measurement::voices::corpus::Sound;

const MANIFEST: &str = r#"{"recordings": [{"name": "a", "source": "made here 1.0", "licence": "MIT",
    "language": "en", "origin": "real", "precision": "grid_10_ms", "notation": "arpabet"}],
    "left_out": [{"source": "made here 1.0", "language": "fr", "reason": "it is silent", "clips": 2}]}"#;

/// A folder with one recording of four samples a channel.
fn folder(manifest: &str, channels: usize, labels: &str) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let audio = Audio::new(44_100, vec![vec![0.0, 0.5, -0.5, 0.25]; channels]);
    write(&folder.path().join("recordings/a.wav"), &audio, false).unwrap();
    fs::write(folder.path().join("recordings/a.tsv"), labels).unwrap();
    fs::write(folder.path().join("manifest.json"), manifest).unwrap();
    folder
}

fn error_of(folder: &TempDir) -> String {
    format!("{:#}", Corpus::load(folder.path()).unwrap_err())
}

#[test]
fn a_recording_comes_with_all_that_is_known_of_it() {
    let folder = folder(MANIFEST, 1, "0\t2\tS\n2\t4\tIY1\n");
    let corpus = Corpus::in_folder(Some(folder.path().into())).unwrap();
    let [recording] = corpus.recordings.as_slice() else {
        panic!("{} recordings", corpus.recordings.len());
    };
    assert_eq!(recording.name, "a");
    assert_eq!(recording.source, "made here 1.0");
    assert_eq!(recording.language, "en");
    assert_eq!(recording.origin, Origin::Real);
    assert_eq!(recording.precision, Precision::Grid10Ms);
    assert_eq!(recording.sample_rate_hz, 44_100.0);
    assert_eq!(recording.audio, [0.0, 0.5, -0.5, 0.25]);
    assert_eq!(recording.of(Sound::Sibilant).next().unwrap().span, 0..2);
    assert_eq!(recording.of(Sound::Vowel).next().unwrap().span, 2..4);
    let [left_out] = corpus.left_out.as_slice() else {
        panic!("{:?}", corpus.left_out);
    };
    assert_eq!((left_out.language.as_str(), left_out.clips), ("fr", 2));
    assert_eq!(left_out.reason, "it is silent");
}

#[test]
fn a_corpus_that_is_not_there_says_how_to_make_it() {
    let nothing = tempfile::tempdir().unwrap();
    for error in [
        Corpus::in_folder(None).unwrap_err(),
        Corpus::load(nothing.path()).unwrap_err(),
    ] {
        let error = error.to_string();
        assert!(error.contains("run: cargo xtask test --setup"), "{error}");
    }
}

#[test]
fn a_part_that_is_wrong_is_named() {
    let other = MANIFEST.replace("grid_10_ms", "grid_20_ms");
    let error = error_of(&folder(&other, 1, ""));
    assert!(error.contains("manifest.json is no manifest"), "{error}");
    let error = error_of(&folder("[]", 1, ""));
    assert!(error.contains("run: cargo xtask test --setup"), "{error}");

    let error = error_of(&folder(MANIFEST, 2, ""));
    assert!(error.contains("a.wav has 2 channels"), "{error}");

    let error = error_of(&folder(MANIFEST, 1, "0\t5\tS\n"));
    assert!(error.contains("a.tsv: line 1: samples 0 to 5"), "{error}");

    let missing = MANIFEST.replace("\"a\"", "\"b\"");
    let error = error_of(&folder(&missing, 1, ""));
    assert!(error.contains("b.wav cannot be opened"), "{error}");
}
