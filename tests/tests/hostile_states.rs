//! States that were made to harm: megabytes of noise, deep nesting, lengths that are not there. Each is refused, changes
//! nothing, and makes the plug-in allocate no more than a megabyte. Every length and every bit are in *state_keeping*.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::Insert;
use siskin_tests::hosts::clap::state_from_json;
use siskin_tests::hosts::fixtures::every_insert;
use siskin_tests::measurement::voices::signals::noise;

/// What a plug-in may allocate for a state that it refuses.
const MOST_BYTES: usize = 1 << 20;
const TEN_MEGABYTES: usize = 10 << 20;

fn random_bytes(seed: u64, length: usize) -> Vec<u8> {
    noise(seed)
        .map(|sample| ((sample + 1.0) * 127.9) as u8)
        .take(length)
        .collect()
}

/// A state whose first value is `value`.
fn with_value(value: &str) -> Vec<u8> {
    format!(r#"{{"version":"0.1.0","params":{{"sib_prop":{{"f32":{value}}}}},"fields":{{}}}}"#).into_bytes()
}

/// JSON, or what replaces it.
fn hostile_json() -> Vec<(&'static str, Vec<u8>)> {
    let nested = |open: &str, depth: usize| open.repeat(depth).into_bytes();
    let closed = |depth: usize| format!("{}{}", "[".repeat(depth), "]".repeat(depth));
    vec![
        ("10 MB of noise", random_bytes(5, TEN_MEGABYTES)),
        ("10 MB of zeros", vec![0; TEN_MEGABYTES]),
        ("10 MB of spaces", vec![b' '; TEN_MEGABYTES]),
        ("lists in lists, open", nested("[", TEN_MEGABYTES)),
        ("objects in objects, open", nested("{\"a\":", TEN_MEGABYTES / 5)),
        ("lists in lists", closed(TEN_MEGABYTES / 2).into_bytes()),
        ("lists in a value", with_value(&closed(TEN_MEGABYTES / 2))),
        ("a number of a million digits", with_value(&"9".repeat(1_000_000))),
        (
            "a string for a number",
            with_value(&format!("\"{}\"", "9".repeat(TEN_MEGABYTES))),
        ),
        (
            "a million values",
            format!("{{\"params\":{{{}", "\"a\":{\"f32\":1.0},".repeat(600_000)).into_bytes(),
        ),
        ("no text", vec![0xC3; 1000]),
        ("nothing", Vec::new()),
        ("null", b"null".to_vec()),
        ("a list", b"[]".to_vec()),
        ("an object", b"{}".to_vec()),
        ("no fields", br#"{"params":{}}"#.to_vec()),
        ("a list of parameters", br#"{"params":[],"fields":{}}"#.to_vec()),
        ("a value of null", with_value("null")),
        ("a value of NaN", with_value("NaN")),
        ("another program's", b"RIFF\x24\x00\x00\x00WAVEfmt ".to_vec()),
        ("a zero within", with_value("\0")),
    ]
}

/// What lies in place of a CLAP state's length and JSON.
fn hostile_frames() -> Vec<(&'static str, Vec<u8>)> {
    let claims = |length: u64| [&length.to_le_bytes(), &b"{}"[..]].concat();
    vec![
        ("a length of 2^64 - 1", claims(u64::MAX)),
        ("a length of 2^63", claims(1 << 63)),
        ("a length of a terabyte", claims(1 << 40)),
        ("a length of 10 MB", claims(TEN_MEGABYTES as u64)),
        ("no length", b"{}".to_vec()),
        ("10 MB of noise, unframed", random_bytes(5, TEN_MEGABYTES)),
    ]
}

/// The most memory that this process held while it did `work`, beyond what it held before; 0 where the system does not say.
fn peak_bytes(work: impl FnOnce()) -> usize {
    let status = |line: &str| -> Option<usize> {
        let status = std::fs::read_to_string("/proc/self/status").ok()?;
        let kilobytes = status.lines().find_map(|text| text.strip_prefix(line))?;
        Some(kilobytes.trim().trim_end_matches(" kB").parse::<usize>().ok()? * 1024)
    };
    let can_reset = std::fs::write("/proc/self/clear_refs", "5").is_ok();
    let before = status("VmRSS:");
    work();
    match (can_reset, before, status("VmHWM:")) {
        (true, Some(before), Some(after)) => after.saturating_sub(before),
        _ => 0,
    }
}

fn assert_refused(insert: &mut Insert, state: &[u8], case: &str) {
    let before = insert.save_state().unwrap();
    let mut loaded = false;
    let peak = peak_bytes(|| loaded = insert.load_state(state));
    let case = format!("{}, {case}", insert.format());
    assert!(!loaded, "{case}: loaded");
    assert_eq!(insert.save_state().unwrap(), before, "{case}: changed something");
    // VST3's stream holds a copy of the host's own.
    let own = if matches!(insert, Insert::Vst3(_)) {
        state.len()
    } else {
        0
    };
    assert!(peak <= own + MOST_BYTES, "{case}: {peak} bytes for {own}");
}

/// One test, since it counts the memory of its whole process.
#[test]
fn hostile_states_are_refused_with_a_megabyte_at_most() {
    for (_, mut insert) in every_insert() {
        let state = insert.save_state().unwrap();
        assert!(insert.load_state(&state));
        for (case, json) in hostile_json() {
            match insert {
                Insert::Clap(_) => assert_refused(&mut insert, &state_from_json(&json), case),
                Insert::Vst3(_) => assert_refused(&mut insert, &json, case),
            }
        }
        for length in 1..64 {
            let random = random_bytes(length, length as usize);
            assert_refused(&mut insert, &random, "random bytes");
        }
        if matches!(insert, Insert::Clap(_)) {
            for (case, frame) in hostile_frames() {
                assert_refused(&mut insert, &frame, case);
            }
        }
        for byte in 0..state.len() {
            let mut flipped = state.clone();
            flipped[byte] ^= 0xFF;
            let before = insert.save_state().unwrap();
            if !insert.load_state(&flipped) {
                assert_eq!(insert.save_state().unwrap(), before, "byte {byte}");
            }
            assert!(insert.load_state(&state));
        }
    }
}
