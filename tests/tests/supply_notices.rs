//! The third-party notices beside the bundles: whatever the library itself names is in them, with a text.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::collections::BTreeSet;
use std::fs;

use siskin_tests::hosts::built::clap_bundle;

/// Where the compiler reads packages of a registry; it leaves the paths in the library, for panics to name.
const SOURCES: &[u8] = b"registry/src/";

/// The packages, as "name-version", whose paths `library` holds.
fn packages_named_in(library: &[u8]) -> BTreeSet<String> {
    let starts = library
        .windows(SOURCES.len())
        .enumerate()
        .filter(|(_, window)| *window == SOURCES);
    let package = |start: usize| {
        let mut parts = library[start + SOURCES.len()..].split(|byte| matches!(byte, b'/' | b'\\'));
        let (_registry, package) = (parts.next()?, parts.next()?);
        String::from_utf8(package.to_vec()).ok()
    };
    starts.filter_map(|(start, _)| package(start)).collect()
}

/// The line before each text; a text may hold a shorter line of the kind.
fn line() -> String {
    format!("\n{}\n", "=".repeat(100))
}

/// An entry: "name version -- licence; authors [1] [2]".
struct Entry<'a> {
    package: String,
    licence: &'a str,
    texts: Vec<usize>,
}

fn entries(notices: &str) -> Vec<Entry<'_>> {
    let (list, _texts) = notices.split_once(&line()).unwrap();
    let entry = |line| {
        let (package, terms): (&str, &str) = str::split_once(line, " -- ")?;
        let numbers = terms.split(" [").skip(1);
        Some(Entry {
            package: package.replace(' ', "-"),
            licence: terms.split([';', '[']).next().unwrap().trim(),
            texts: numbers
                .map(|number| number.trim_end_matches(']').parse().unwrap())
                .collect(),
        })
    };
    list.lines().filter_map(entry).collect()
}

/// The text with that number.
fn text(notices: &str, number: usize) -> &str {
    let (_before, after) = notices
        .split_once(&format!("\n[{number}] "))
        .expect("a text for each number");
    let (_title, rest) = after.split_once("\n\n").unwrap();
    rest.split(&line()).next().unwrap().trim()
}

#[test]
fn every_linked_package_has_a_notice() {
    let bundle = clap_bundle();
    let notices = fs::read_to_string(bundle.with_file_name("THIRD_PARTY_NOTICES.txt")).unwrap();
    let entries = entries(&notices);
    let linked = packages_named_in(&fs::read(&bundle).unwrap());
    assert!(linked.len() > 20, "the library names only {linked:?}");
    let missing: Vec<&String> = linked
        .iter()
        .filter(|package| entries.iter().all(|entry| entry.package != **package))
        .collect();
    assert!(missing.is_empty(), "no notice of {missing:?}");
}

#[test]
fn every_notice_has_a_licence_and_a_text() {
    let notices = fs::read_to_string(clap_bundle().with_file_name("THIRD_PARTY_NOTICES.txt")).unwrap();
    let entries = entries(&notices);
    assert!(entries.len() > 100, "{} notices only", entries.len());
    for Entry {
        package,
        licence,
        texts,
    } in &entries
    {
        assert!(
            !licence.is_empty() && !texts.is_empty(),
            "{package}: {licence} {texts:?}"
        );
        for number in texts {
            assert!(
                text(&notices, *number).len() > 50,
                "{package}: text {number} is empty"
            );
        }
    }
    // The fonts that the editor packs are works of others, too.
    let fonts = entries
        .iter()
        .find(|entry| entry.package.starts_with("notosans-"))
        .unwrap();
    let texts: String = fonts.texts.iter().map(|number| text(&notices, *number)).collect();
    assert!(
        texts.to_uppercase().contains("SIL OPEN FONT LICENSE"),
        "no licence of the font"
    );
    assert!(
        entries
            .iter()
            .any(|entry| entry.package.contains("standard-library-of-Rust"))
    );
}

#[test]
fn packages_are_read_from_a_library() {
    let library = b"\0/x/registry/src/index-0a/egui-0.37.0/src/lib.rs\0registry/src/i/vst3-0.3.0/a.rs\xff";
    assert_eq!(
        packages_named_in(library),
        BTreeSet::from(["egui-0.37.0".into(), "vst3-0.3.0".into()])
    );
}
