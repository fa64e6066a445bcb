//! The player in a real browser. What leaves it is recorded and read: each sample of the sounds tells the rendering that it
//! belongs to, and its place in the track.

use std::path::PathBuf;

use siskin_tests::hosts::browser::Browser;
use tempfile::TempDir;

use super::*;
use crate::report::html::page;
use crate::report::table::{Cell, Table};

const RATE_HZ: u32 = 16_000;
const SECONDS: f64 = 12.0;
/// The rendering that is 6 dB louder than the other.
const LOUDER_LUFS: f32 = -14.0;
const REPEATED_S: [f64; 2] = [2.0, 2.6];
/// The goal: renderings are heard at one position, s.
const IN_STEP_S: f64 = 0.020;

/// What is heard at one moment of a recording.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Heard {
    /// By the clock of the sound, s.
    time_s: f64,
    /// Where in the track, s.
    position_s: f64,
    state: State,
}

/// Which rendering is heard.
#[derive(Debug, Clone, Copy, PartialEq)]
enum State {
    Soft,
    Loud,
    /// The loud one, turned down.
    Equal,
}

/// The sample from which a rendering's ramp begins; it doubles until the end of the track, so that no two ramps overlap.
fn first_sample(state: State) -> f64 {
    match state {
        State::Soft => 0.1,
        State::Equal => 0.2,
        State::Loud => 0.4,
    }
}

fn ramp(state: State) -> Vec<f32> {
    let samples = (SECONDS * f64::from(RATE_HZ)) as usize;
    let sample = |n: usize| (first_sample(state) * (1.0 + n as f64 / samples as f64)) as f32;
    (0..samples).map(sample).collect()
}

/// What a sample tells.
fn told(sample: f64) -> Option<(State, f64)> {
    [State::Soft, State::Equal, State::Loud]
        .into_iter()
        .find_map(|state| {
            let share = sample / first_sample(state) - 1.0;
            (0.0..1.0).contains(&share).then_some((state, share * SECONDS))
        })
}

/// A page with a player, a picture over time and a list, in a folder of its own.
fn made_page() -> (TempDir, PathBuf) {
    let folder = TempDir::new().unwrap();
    let [soft, loud] = [State::Soft, State::Loud].map(ramp);
    let sound = |name, samples, loudness_lufs| Sound::new(name, vec![samples], loudness_lufs);
    let sounds = vec![
        sound("soft", &soft[..], LOUDER_LUFS - 20.0 * 2f32.log10()),
        sound("loud </script>", &loud[..], LOUDER_LUFS),
    ];
    let repeated = REPEATED_S.map(|seconds| (seconds * f64::from(RATE_HZ)) as usize);
    let parts = vec![Part::new("Verse", repeated[0]..repeated[1])];
    let track = write_blocks(folder.path(), ("song", "Song"), RATE_HZ, sounds, parts).unwrap();
    let timeline = Timeline {
        track: "song",
        svg: "<svg viewBox=\"0 0 1000 60\"><rect width=\"1000\" height=\"60\" fill=\"#ddd\"/></svg>",
        edges: [0.1, 0.9],
        seconds: SECONDS,
    };
    let list = Table::new(["time"]).with_rows([vec![Cell::moment("song", 10.2)]]);
    let body = html(&[track]) + &timeline.html() + &list.html();
    let path = folder.path().join("report.html");
    std::fs::write(&path, page("A page", &body)).unwrap();
    (folder, path)
}

/// The page in a browser that records it.
fn opened(path: &std::path::Path) -> Browser {
    let mut browser = Browser::start().unwrap();
    browser.prepare(include_str!("tap.js")).unwrap();
    browser.open(path).unwrap();
    browser
}

/// Everything that was audible since the last call, without the crossfades.
fn recording(browser: &mut Browser) -> Vec<Heard> {
    let rows = browser.evaluate("heard.splice(0)").unwrap();
    let mut heard = Vec::new();
    for row in rows.as_array().unwrap() {
        let [frame, first, least, most] = [0, 1, 2, 3].map(|column| row[column].as_f64().unwrap());
        let [Some(at_first), Some(at_least), Some(at_most)] = [first, least, most].map(told) else {
            continue;
        };
        // Where sound fades, the 128 frames lie further apart than a ramp goes in them.
        let is_even = at_least.0 == at_most.0 && at_most.1 - at_least.1 < IN_STEP_S;
        if is_even {
            let (state, position_s) = at_first;
            let time_s = frame / f64::from(RATE_HZ);
            heard.push(Heard {
                time_s,
                position_s,
                state,
            });
        }
    }
    heard
}

/// Waits until so many more seconds of sound have been recorded.
fn listen(browser: &mut Browser, seconds: f64) {
    let audible = "heard.filter(([, , least]) => least > 0).length";
    let before = browser.evaluate(audible).unwrap();
    let quanta = (seconds * f64::from(RATE_HZ) / 128.0) as usize;
    browser
        .wait_for(&format!("{audible} >= {before} + {quanta}"))
        .unwrap();
}

/// That positions advance as the clock does, without a pause.
fn assert_in_step(heard: &[Heard]) {
    for pair in heard.windows(2) {
        let [time_s, moved_s] = [
            pair[1].time_s - pair[0].time_s,
            pair[1].position_s - pair[0].position_s,
        ];
        assert!(
            (time_s - moved_s).abs() < IN_STEP_S && time_s < IN_STEP_S + 0.01,
            "{pair:?}"
        );
    }
    let [first, last] = [heard[0], heard[heard.len() - 1]];
    let drift_s = (last.position_s - first.position_s) - (last.time_s - first.time_s);
    assert!(
        drift_s.abs() < IN_STEP_S,
        "{drift_s} s over {first:?} to {last:?}"
    );
}

fn assert_clean(browser: &Browser, path: &std::path::Path) {
    assert_eq!(browser.complaints(), Vec::<String>::new());
    let folder = format!(
        "file://{}/",
        path.parent().unwrap().canonicalize().unwrap().display()
    );
    let requests = browser.requests();
    assert!(requests.len() > 1, "the page and its sound");
    // The recorder of this test.
    let others = requests
        .iter()
        .filter(|url| !url.starts_with("data:text/javascript,registerProcessor"));
    for url in others {
        assert!(url.starts_with(&folder), "{url} is requested");
    }
}

#[test]
fn renderings_switch_in_step_and_without_a_gap() {
    let (_folder, path) = made_page();
    let mut browser = opened(&path);
    browser.press(" ").unwrap();
    listen(&mut browser, 0.3);
    for key in ["2", "e", "1", "2"] {
        browser.press(key).unwrap();
        listen(&mut browser, 0.3);
    }
    browser.click("#player .renderings button:first-child").unwrap();
    listen(&mut browser, 0.3);
    let heard = recording(&mut browser);
    let mut states: Vec<State> = heard.iter().map(|heard| heard.state).collect();
    states.dedup();
    use State::{Equal, Loud, Soft};
    assert_eq!(states, [Soft, Equal, Loud, Soft, Loud, Soft]);
    assert_in_step(&heard);
    browser.press(" ").unwrap();
    browser
        .wait_for("document.querySelector('#player .play').textContent === 'Play'")
        .unwrap();
    assert_clean(&browser, &path);
}

#[test]
fn clicks_play_from_half_a_second_before_and_sections_repeat() {
    let (_folder, path) = made_page();
    let mut browser = opened(&path);
    // The list's sibilant lies near the border of two blocks.
    browser.click("button[data-at]").unwrap();
    listen(&mut browser, 1.2);
    let heard = recording(&mut browser);
    assert!((heard[0].position_s - 9.7).abs() < IN_STEP_S, "{:?}", heard[0]);
    assert!(heard[heard.len() - 1].position_s > 10.5);
    assert_in_step(&heard);
    // The picture's time lies between a tenth and nine tenths of its width.
    browser.click_within(".timeline", 0.5).unwrap();
    listen(&mut browser, 1.5);
    let heard = recording(&mut browser);
    let after = heard.iter().position(|heard| heard.position_s < 9.0).unwrap();
    assert!(
        (heard[after].position_s - 5.5).abs() < IN_STEP_S,
        "{:?}",
        heard[after]
    );
    assert_in_step(&heard[after..]);
    let shown = browser
        .evaluate("document.querySelector('.cursor').style.left")
        .unwrap();
    let share: f64 = shown.as_str().unwrap().trim_end_matches('%').parse().unwrap();
    assert!(
        (10.0 + 80.0 * 5.5 / SECONDS..90.0).contains(&share),
        "cursor at {share} %"
    );
    browser.click("#player .sections button").unwrap();
    listen(&mut browser, 3.0);
    let heard = recording(&mut browser);
    let first = heard.iter().position(|heard| heard.position_s < 3.0).unwrap();
    let rounds: Vec<&[Heard]> = heard[first..]
        .chunk_by(|a, b| a.position_s < b.position_s)
        .collect();
    assert!(rounds.len() > 2, "{} rounds", rounds.len());
    for round in &rounds[..rounds.len() - 1] {
        assert_in_step(round);
        let ends = [round[0], round[round.len() - 1]].map(|heard| heard.position_s);
        assert!((ends[0] - REPEATED_S[0]).abs() < IN_STEP_S && (ends[1] - REPEATED_S[1]).abs() < IN_STEP_S);
    }
    assert_clean(&browser, &path);
}

#[test]
fn pages_are_read_without_scripts_and_say_what_is_missing() {
    let (folder, path) = made_page();
    let mut browser = Browser::start().unwrap();
    browser.allow_scripts(false).unwrap();
    browser.open(&path).unwrap();
    browser.allow_scripts(true).unwrap();
    let text = browser.evaluate("document.body.innerText").unwrap();
    let text = text.as_str().unwrap();
    assert!(
        text.contains("0:10.2") && !text.contains("Equal loudness"),
        "{text}"
    );
    std::fs::remove_dir_all(folder.path().join(FOLDER)).unwrap();
    browser.open(&path).unwrap();
    browser.click("#player .play").unwrap();
    let message = "document.querySelector('#player .message').textContent";
    browser.wait_for(&format!("{message} !== ''")).unwrap();
    let said = browser.evaluate(message).unwrap();
    assert_eq!(
        said,
        "sound/song-0.js is missing: keep the folder sound beside this page"
    );
    assert_eq!(
        browser
            .evaluate("document.querySelector('#player .play').textContent")
            .unwrap(),
        "Play"
    );
}
