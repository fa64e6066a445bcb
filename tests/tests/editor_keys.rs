//! The editor by keyboard, in a real window.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use siskin_tests::hosts::built::{SISKIN, insert};
use siskin_tests::hosts::window::{Key, Opening, Screen, Session, bursts, in_editor, on_own_screen};
use siskin_tests::measurement::voices::signals::power_db;
use std::rc::Rc;

/// More Tab stops than the window has.
const ALL_STOPS: usize = 60;
/// More blocks than the half second of output that the host keeps.
const BLOCKS_HEARD: u64 = 70;

/// Parameters changed since the last call, each once, in order.
fn moved(session: &mut Session) -> Vec<String> {
    let mut ids: Vec<String> = session.gestures().into_iter().map(|(id, _)| id).collect();
    ids.dedup();
    ids
}

/// An insert with no parameter at its default, so that a reset is a gesture.
fn displaced(screen: Screen) -> Session {
    let mut plugin = insert(SISKIN);
    for parameter in plugin.parameters().to_vec() {
        let span = parameter.highest - parameter.lowest;
        let other = if parameter.default + span / 4.0 <= parameter.highest && !parameter.is_stepped() {
            parameter.default + span / 4.0
        } else if parameter.default > parameter.lowest {
            parameter.lowest
        } else {
            parameter.highest
        };
        let text = plugin.text_of(&parameter.id, other).unwrap();
        plugin.set(&parameter.id, &text).unwrap();
    }
    let mut session = Session::new(&Rc::new(screen), plugin, bursts()).unwrap();
    session.live().play(None);
    session.open(Opening::default()).unwrap();
    session
}

/// Presses Tab until `id` has keyboard focus, which resets it.
fn go_to(session: &mut Session, id: &str) {
    for _ in 0..ALL_STOPS {
        session.key(Key::Tab).unwrap();
        session.key(Key::Delete).unwrap();
        if moved(session) == [id] {
            return;
        }
    }
    panic!("Tab does not reach {id}");
}

#[test]
fn tab_reaches_every_control_in_signal_order() {
    on_own_screen(|screen| {
        let mut session = displaced(screen);
        for _ in 0..ALL_STOPS {
            session.key(Key::Tab).unwrap();
            session.key(Key::Delete).unwrap();
        }
        // Proportion and Detect from are in the pictures too, and come first there.
        let reached = moved(&mut session);
        let layout = session.layout();
        let in_pictures = ["sib_prop", "sib_from"];
        let others = |id: &&str| !in_pictures.contains(id);
        let all: Vec<&str> = layout.cells().map(|(id, _)| id).filter(others).collect();
        let in_order: Vec<&str> = reached.iter().map(String::as_str).filter(others).collect();
        assert_eq!(in_order, all);
        assert!(
            in_pictures
                .iter()
                .all(|id| reached.iter().any(|reached| reached == id)),
            "{reached:?}"
        );
    });
}

#[test]
fn tab_begins_with_proportion() {
    on_own_screen(|screen| {
        let mut session = displaced(screen);
        session.key(Key::Tab).unwrap();
        session.key(Key::Delete).unwrap();
        assert_eq!(moved(&mut session), ["sib_prop"]);
    });
}

#[test]
fn changes_are_undone_and_redone_as_gestures() {
    in_editor(|mut session| {
        let layout = session.layout();
        session
            .type_into(layout.cell("sib_range").unwrap().value, "9")
            .unwrap();
        session.key(Key::Enter).unwrap();
        session.expect_number("sib_range", 9.0).unwrap();
        moved(&mut session);
        session.click_in(layout.button("start")).unwrap();
        session.click_in(layout.start_menu(1)[0]).unwrap();
        session.expect_number("sib_range", 12.0).unwrap();
        session.expect_number("br_prop", -14.0).unwrap();
        let step = moved(&mut session).len();
        assert!(step > 3, "a starting point moves several parameters");

        let press = |session: &mut Session, with_shift: bool| {
            session.hold_key(Key::Control, true).unwrap();
            if with_shift {
                session.hold_key(Key::Shift, true).unwrap();
            }
            session.key(Key::Sign('z')).unwrap();
            session.hold_key(Key::Shift, false).unwrap();
            session.hold_key(Key::Control, false).unwrap();
            moved(session).len()
        };
        assert_eq!(press(&mut session, false), step, "the starting point is one step");
        session.expect_number("sib_range", 9.0).unwrap();
        session.expect_number("br_prop", -20.0).unwrap();
        assert_eq!(press(&mut session, false), 1);
        session.expect_number("sib_range", 12.0).unwrap();
        assert_eq!(press(&mut session, false), 0, "nothing is left to undo");
        assert_eq!(press(&mut session, true), 1);
        session.expect_number("sib_range", 9.0).unwrap();
        press(&mut session, true);
        session.expect_number("br_prop", -14.0).unwrap();
    });
}

#[test]
fn text_that_is_no_value_keeps_the_field_open_and_the_value() {
    in_editor(|mut session| {
        let value = session.layout().cell("sib_from").unwrap().value;
        let below = value.translate(emath::vec2(0.0, value.height()));
        session.point(value.center()).unwrap();
        let without = session.picture_of(below).unwrap();
        session.type_into(value, "").unwrap();
        for wrong in ["", "abc", "-", "1e3", "99", "50 kHz"] {
            session.write(wrong).unwrap();
            session.key(Key::Enter).unwrap();
            assert_eq!(moved(&mut session), [""; 0], "{wrong}");
            assert!(
                session.picture_of(below).unwrap() != without,
                "a note below the field says what it takes: {wrong}"
            );
            (0..wrong.len()).for_each(|_| session.key(Key::Backspace).unwrap());
        }
        session.expect_number("sib_from", 4.0).unwrap();
        session.write("3,5 KHZ").unwrap();
        session.key(Key::Enter).unwrap();
        session.expect_number("sib_from", 3.5).unwrap();
        assert_eq!(moved(&mut session), ["sib_from"]);
    });
}

#[test]
fn arrows_enter_and_delete_set_a_value() {
    on_own_screen(|screen| {
        let mut session = displaced(screen);
        go_to(&mut session, "out_gain");
        session.expect_number("out_gain", 0.0).unwrap();
        session.key(Key::Up).unwrap();
        moved(&mut session);
        let up = session.number("out_gain").unwrap();
        assert!(up > 0.0, "{up} dB");
        session.key(Key::Down).unwrap();
        session.key(Key::Down).unwrap();
        moved(&mut session);
        let down = session.number("out_gain").unwrap();
        assert!((up + down).abs() < 0.11, "{up} dB up, {down} dB down");
        session.key(Key::Enter).unwrap();
        session.write("-4.5").unwrap();
        session.key(Key::Enter).unwrap();
        moved(&mut session);
        session.expect_number("out_gain", -4.5).unwrap();
        session.key(Key::Delete).unwrap();
        assert_eq!(moved(&mut session), ["out_gain"]);
        session.expect_number("out_gain", 0.0).unwrap();
    });
}

#[test]
fn listen_key_cycles_and_closing_returns_to_output() {
    in_editor(|mut session| {
        let listen = |session: &mut Session| session.text("listen").unwrap().to_lowercase();
        let output = listen(&mut session);
        let mut choices = Vec::new();
        for _ in 0..3 {
            session.key(Key::Sign('l')).unwrap();
            choices.push(listen(&mut session));
        }
        assert_eq!(choices[2], output, "wraps around: {choices:?}");
        assert!(choices[0] != output && choices[1] != output && choices[0] != choices[1]);
        assert_eq!(moved(&mut session), ["listen"]);

        session.key(Key::Sign('l')).unwrap();
        session.play_blocks(BLOCKS_HEARD).unwrap();
        let removed_db = power_db(&session.live().heard()[0]);
        session.close().unwrap();
        session
            .wait_until("Listen returns", |session| {
                Ok(session.text("listen")?.to_lowercase() == output)
            })
            .unwrap();
        session.play_blocks(BLOCKS_HEARD).unwrap();
        let output_db = power_db(&session.live().heard()[0]);
        assert!(
            removed_db < output_db - 3.0,
            "{removed_db} dB removed of {output_db} dB"
        );
        assert_eq!(moved(&mut session), ["listen"], "the return is a gesture too");
    });
}

#[test]
fn the_space_bar_does_nothing_in_the_editor() {
    on_own_screen(|screen| {
        let mut session = displaced(screen);
        for control in ["out_gain", "bypass"] {
            go_to(&mut session, control);
            let before = session.text(control).unwrap();
            session.key(Key::Space).unwrap();
            assert_eq!(moved(&mut session), [""; 0], "{control}");
            assert_eq!(session.text(control).unwrap(), before);
        }
    });
}

#[test]
fn freeze_key_stops_and_restarts_the_timeline() {
    in_editor(|mut session| {
        let plot = session.layout().timeline.plot.shrink(4.0);
        session.play_blocks(200).unwrap();
        let before = session.picture_of(plot).unwrap();
        session.wait_for_change(plot, &before).unwrap();

        session.key(Key::Sign('f')).unwrap();
        let frozen = session.picture_of(plot).unwrap();
        session.play_blocks(60).unwrap();
        session.sync().unwrap();
        assert!(
            session.picture_of(plot).unwrap() == frozen,
            "the timeline runs on"
        );

        session.key(Key::Sign('f')).unwrap();
        session.wait_for_change(plot, &frozen).unwrap();
    });
}
