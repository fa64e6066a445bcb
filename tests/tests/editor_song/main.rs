//! The whole song in the editor: what is noted while it plays, in a real window, against an engine that hears the same.

#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod expected;
mod vst3;

use std::rc::Rc;

use emath::{Rect, pos2, vec2};
use siskin_editor_layout::palette::LIGHT;
use siskin_tests::hosts::built::SISKIN;
use siskin_tests::hosts::clap::SongPlace;
use siskin_tests::hosts::fixtures::insert_with;
use siskin_tests::hosts::window::{Button, Key, NOWHERE, Opening, Screen, Session, on_own_screen};

use expected::{
    BLOCK, Expected, Line, RATE_HZ, SLOW, assert_as_played, assert_bars, played, read, slow, song,
};

/// At the start of the song, four beats a bar, two a second.
const AT_THE_START: SongPlace = SongPlace {
    start_s: 0.0,
    tempo_bpm: 120.0,
    metre: Some((4, 4)),
};

/// What the strip shows of the song once it has been played.
fn span_s() -> (f64, f64) {
    let length_s = played(&song()) as f64 / RATE_HZ;
    assert!((30.0..90.0).contains(&length_s), "{length_s} s");
    (0.0, if length_s > 60.0 { 90.0 } else { 60.0 })
}

/// An open editor with slow settings, at the start of a song whose position is told.
fn open(screen: Screen, place: Option<SongPlace>) -> Session {
    let plugin = insert_with(SISKIN, 2, &SLOW);
    let mut session = Session::new(&Rc::new(screen), plugin, song()).unwrap();
    session.live().tell(place);
    session.open(Opening::default()).unwrap();
    session.key(Key::Sign('s')).unwrap();
    session
}

fn play_all(session: &mut Session) {
    let blocks = played(&song()) / BLOCK;
    session.live().play(Some(blocks * BLOCK));
    session
        .wait_until("the song has been played", |session| {
            Ok(session.live().is_at_rest())
        })
        .unwrap();
    session.sync().unwrap();
}

/// What Copy puts on the clipboard.
fn copied(screen: &Screen, session: &mut Session) -> Vec<Line> {
    let copy = session.layout().song.left_to_do.button(0);
    session.click_in(Some(copy)).unwrap();
    session.point(NOWHERE).unwrap();
    let text = screen.clipboard().unwrap().unwrap();
    read(&text)
}

#[test]
fn a_song_is_listed_as_an_engine_hears_it() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let mut session = open(screen, Some(AT_THE_START));
        play_all(&mut session);
        let expected = Expected::of(&song(), &slow());
        let lines = copied(&clipboard, &mut session);
        assert_as_played(&lines, &expected, 0.0);
        // Two seconds a bar, two beats a second.
        assert_bars(&lines, 2.0);
        assert_section_borders(&mut session, &expected);
        // Played again it replaces what stood there. From now on each pass begins with the voice of the one before it.
        play_all(&mut session);
        let second = copied(&clipboard, &mut session);
        play_all(&mut session);
        assert_eq!(copied(&clipboard, &mut session), second);
    });
}

/// Each section but the first begins with a rule in the strip.
fn assert_section_borders(session: &mut Session, expected: &Expected) {
    let strip = session.layout().song;
    let span_s = span_s();
    for section in &expected.sections[1..] {
        let x = strip.x(f64::from(section.start_s), span_s).round();
        // Across the lane: the plot has other lines.
        let rule = Rect::from_center_size(pos2(x, strip.lane.center().y), vec2(5.0, 9.0));
        let picture = session.picture_of(rule).unwrap();
        let share = picture.share_of(LIGHT.edge);
        // A column of five, and the line in the middle.
        assert!(share >= 0.2, "{share} of edge at {} s", section.start_s);
    }
}

#[test]
fn loops_jumps_and_a_moved_start_list_the_same() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let moved = SongPlace {
            start_s: -7.0,
            ..AT_THE_START
        };
        let mut session = open(screen, Some(moved));
        play_all(&mut session);
        let expected = Expected::of(&song(), &slow());
        let whole = copied(&clipboard, &mut session);
        assert_as_played(&whole, &expected, -7.0);
        assert!(whole.iter().any(|line| line.time_s() < 0.0), "{whole:?}");
        let worst_s = whole[0].time_s() + 7.0;
        // A jump to the middle, then loops around the worst.
        session.live().seek(played(&song()) / 2 / BLOCK * BLOCK);
        session.play_s(1.0).unwrap();
        for _ in 0..3 {
            session
                .live()
                .seek(((worst_s - 1.0) * RATE_HZ) as usize / BLOCK * BLOCK);
            session.play_s(2.0).unwrap();
        }
        let times = |lines: &[Line]| {
            let mut times: Vec<String> = lines.iter().map(|line| line.time.clone()).collect();
            times.sort();
            times
        };
        let looped = copied(&clipboard, &mut session);
        // What was sung within the loop is heard after other sounds than before: it may leave a little otherwise.
        let lost = times(&whole).len().abs_diff(looped.len());
        assert!(lost <= 1, "{whole:?}\n{looped:?}");
        let found = looped
            .iter()
            .filter(|line| (line.time_s() + 7.0 - worst_s).abs() < 0.1);
        assert_eq!(found.count(), 1, "{looped:?}");
    });
}

#[test]
fn a_change_of_tempo_moves_bars_and_no_times() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let mut session = open(screen, Some(AT_THE_START));
        // The first pass begins without a voice, unlike the others.
        play_all(&mut session);
        play_all(&mut session);
        let before = copied(&clipboard, &mut session);
        session.live().tell(Some(SongPlace {
            tempo_bpm: 60.0,
            ..AT_THE_START
        }));
        play_all(&mut session);
        let after = copied(&clipboard, &mut session);
        let times = |lines: &[Line]| -> Vec<String> { lines.iter().map(|line| line.time.clone()).collect() };
        assert_eq!(times(&before), times(&after));
        assert_bars(&after, 4.0);
    });
}

#[test]
fn without_a_position_times_count_from_playback_and_clear_forgets() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let mut session = open(screen, None);
        let song_layout = session.layout().song;
        let lists = [song_layout.sections.area, song_layout.left_to_do.area];
        let empty = lists.map(|list| session.picture_of(list).unwrap());
        let state = session.plugin().save_state().unwrap();
        session.play_s(14.4).unwrap();
        assert_eq!(
            session.plugin().save_state().unwrap(),
            state,
            "notes are not saved"
        );
        let lines = copied(&clipboard, &mut session);
        assert!(!lines.is_empty());
        assert!(lines.iter().all(|line| line.place == line.time), "{lines:?}");
        // The strip says so, on paper of its own, at the right end of its plot.
        let says = song_layout.plot.with_min_x(song_layout.plot.right() - 200.0);
        let ink = session.picture_of(says).unwrap().share_of(LIGHT.ink);
        // Thin letters leave few pixels of the whole ink, paper none.
        assert!(ink > 0.0, "no ink");
        session.click_in(Some(song_layout.sections.button(0))).unwrap();
        session.point(NOWHERE).unwrap();
        session.sync().unwrap();
        let cleared = lists.map(|list| session.picture_of(list).unwrap());
        assert!(cleared == empty, "the lists are as new");
    });
}

#[test]
fn a_chosen_sibilant_is_shown_in_the_strip_and_read_in_the_stream() {
    on_own_screen(|screen| {
        let clipboard = Screen::open().unwrap();
        let mut session = open(screen, Some(AT_THE_START));
        play_all(&mut session);
        let lines = copied(&clipboard, &mut session);
        let layout = session.layout();
        let focus = |session: &mut Session, line: &Line| {
            let x = layout.song.x(line.time_s() + 0.05, span_s());
            let at = Rect::from_center_size(pos2(x, layout.song.plot.center().y), vec2(8.0, 16.0));
            session.picture_of(at).unwrap().share_of(LIGHT.focus)
        };
        let values = layout
            .timeline
            .values
            .with_max_x(layout.timeline.values.center().x);
        let reading = session.picture_of(values).unwrap();
        assert_eq!(focus(&mut session, &lines[1]), 0.0);
        session.click_in(Some(layout.song.left_to_do.row(1))).unwrap();
        session.point(NOWHERE).unwrap();
        session.sync().unwrap();
        assert!(focus(&mut session, &lines[1]) > 0.05);
        let second = session.picture_of(values).unwrap();
        assert!(second != reading, "the stream reads the sibilant");
        // By keyboard the one before it.
        session.key(Key::Up).unwrap();
        session.sync().unwrap();
        assert!(focus(&mut session, &lines[0]) > 0.05);
        assert!(session.picture_of(values).unwrap() != second);
        // In the strip by a click on the mark; the keys go to the next one in time and back.
        let mark = pos2(
            layout.song.x(lines[1].time_s() + 0.05, span_s()),
            layout.song.lane.center().y,
        );
        session.click(mark, Button::Left).unwrap();
        session.point(NOWHERE).unwrap();
        assert!(focus(&mut session, &lines[1]) > 0.05);
        let pointed = session.picture_of(values).unwrap();
        assert!(pointed != reading, "the stream reads this one, too");
        for (key, is_back) in [(Key::Right, false), (Key::Left, true)] {
            session.key(key).unwrap();
            let reading = session.picture_of(values).unwrap();
            assert_eq!(reading == pointed, is_back);
        }
    });
}
