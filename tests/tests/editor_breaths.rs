//! Breaths in the editor, in a real window: each is a block with its level, striped where something is taken.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::rc::Rc;

use emath::{Rect, pos2};
use siskin_editor_layout::palette::{Color32, LIGHT};
use siskin_tests::hosts::built::SISKIN;
use siskin_tests::hosts::fixtures::insert_with;
use siskin_tests::hosts::window::{
    NOWHERE, Opening, Picture, SONG_SEED, Screen, Session, levelled_song, on_own_screen,
};
use siskin_tests::measurement::levels::{k_weighted, lufs};
use siskin_tests::measurement::voices::singer::{Kind, Label, sing};

const RATE_HZ: f64 = 48_000.0;
/// Sound before a look: a little more than the timeline shows, s.
const PLAYED_S: f64 = 8.6;
/// By which the pictures are late at the lookahead for mixing, s.
const LATE_S: f64 = 0.3;
/// On both channels, which loudness sums (ITU-R BS.1770).
const BOTH_LU: f32 = 3.01;
/// Half of what is looked at of a block, in its middle, s.
const HALF_S: f64 = 0.03;
/// A pixel of the level scale, and an edge of the breath that the detector leaves out.
const NEAR_LU: f32 = 1.5;

/// The levelled song, played with these settings, in an open editor.
fn played(screen: &Rc<Screen>, settings: &[(&str, &str)]) -> Session {
    let mut plugin = insert_with(SISKIN, 2, settings);
    plugin.set("look", "300 ms").unwrap();
    let mut session = Session::new(screen, plugin, levelled_song().fast()).unwrap();
    session.open(Opening::default()).unwrap();
    session.play_s(PLAYED_S).unwrap();
    session.point(NOWHERE).unwrap();
    session
}

/// The breaths that the picture shows whole.
fn breaths() -> Vec<Label> {
    let shown = |label: &Label| {
        let [start_s, end_s] = [label.start, label.end].map(|sample| sample as f64 / RATE_HZ);
        label.kind == Kind::Breath && start_s > 1.0 && end_s < PLAYED_S - LATE_S - 0.5
    };
    sing(RATE_HZ, SONG_SEED)
        .labels
        .into_iter()
        .filter(shown)
        .collect()
}

/// The plot around the middle of a breath.
fn middle(session: &Session, breath: &Label) -> Picture {
    let timeline = session.layout().timeline;
    let middle_s = 0.5 * (breath.start + breath.end) as f64 / RATE_HZ;
    let x = |at_s: f64| timeline.x((PLAYED_S - LATE_S - at_s) as f32);
    let [left, right] = [middle_s - HALF_S, middle_s + HALF_S].map(x);
    let area = Rect::from_min_max(
        pos2(left, timeline.plot.top()),
        pos2(right, timeline.plot.bottom()),
    );
    session.picture_of(area).unwrap()
}

/// The level of the uppermost row that is all of one colour, LUFS.
fn top_lufs(session: &Session, picture: &Picture, colour: Color32) -> Option<f32> {
    let [red, green, blue, _] = colour.to_array();
    let row = |y: u32| (0..picture.width).all(|x| picture.pixel(x, y) == [red, green, blue]);
    let y = (0..picture.height).find(|&y| row(y))?;
    let timeline = session.layout().timeline;
    Some(timeline.lufs(timeline.plot.top() + y as f32))
}

/// What is seen of a breath: its upper edge, and that of the stripes, LUFS.
struct Seen {
    block_lufs: f32,
    stripes_lufs: Option<f32>,
}

/// What is seen of each of the breaths with these settings.
fn seen(screen: &Rc<Screen>, settings: &[(&str, &str)], breaths: &[Label]) -> Vec<Seen> {
    let session = played(screen, settings);
    let look = |breath: &Label| {
        let picture = middle(&session, breath);
        Seen {
            block_lufs: top_lufs(&session, &picture, LIGHT.breath).unwrap(),
            stripes_lufs: top_lufs(&session, &picture, LIGHT.reduction),
        }
    };
    breaths.iter().map(look).collect()
}

#[test]
fn a_breath_is_a_block_with_its_level_and_what_is_taken() {
    on_own_screen(|screen| {
        let screen = Rc::new(screen);
        let song = k_weighted(&levelled_song().voice[0], RATE_HZ);
        let breaths = breaths();
        assert!(!breaths.is_empty());
        let whole = seen(&screen, &[], &breaths);
        let settings = [("br_on", "on"), ("br_prop", "-40 LU"), ("br_range", "6 dB")];
        let reduced = seen(&screen, &settings, &breaths);
        for ((breath, before), after) in breaths.iter().zip(&whole).zip(&reduced) {
            let sung_lufs = lufs(&song[breath.start..breath.end]) + BOTH_LU;
            let level_lufs = before.block_lufs;
            assert!(
                (level_lufs - sung_lufs).abs() < NEAR_LU,
                "shown at {level_lufs}, sung at {sung_lufs}"
            );
            assert_eq!(before.stripes_lufs, None);
            let taken_db = level_lufs - after.block_lufs;
            assert!((taken_db - 6.0).abs() < 1.0, "{taken_db}");
            let stripes_lufs = after.stripes_lufs.unwrap();
            assert!((stripes_lufs - level_lufs).abs() < 1.0, "{stripes_lufs}");
        }
    });
}
