//! The editor under the keys alone, in a real window.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::rc::Rc;
use std::time::Duration;

use emath::pos2;
use siskin_tests::hosts::built::{SISKIN, insert};
use siskin_tests::hosts::window::{Key, Opening, Screen, Session, alone, bursts};
use siskin_tests::measurement::voices::signals::power_db;

/// More stops of Tab than the window has.
const ALL_STOPS: usize = 60;

fn session(screen: Screen) -> Session {
    let mut session = Session::running(&Rc::new(screen), SISKIN, bursts()).unwrap();
    session.point(pos2(2.0, 2.0)).unwrap();
    session
}

/// What has been moved, each parameter once, in order.
fn moved(session: &mut Session) -> Vec<String> {
    let mut ids: Vec<String> = session.gestures().into_iter().map(|(id, _)| id).collect();
    ids.dedup();
    ids
}

/// An insert none of whose parameters stands at its default, so that a key that brings the default back is heard.
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
    session.point(pos2(2.0, 2.0)).unwrap();
    session
}

/// Goes on by Tab until `id` has the keys, which brings its default back.
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
fn tab_reaches_every_control_in_the_order_of_the_signal() {
    alone(|screen| {
        let mut session = displaced(screen);
        for _ in 0..ALL_STOPS {
            session.key(Key::Tab).unwrap();
            session.key(Key::Delete).unwrap();
        }
        // The picture shows Proportion and Detect from, and both have the keys there before the stages follow.
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
fn arrows_enter_and_delete_set_a_value() {
    alone(|screen| {
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
fn one_key_listens_and_the_closing_window_returns_to_the_output() {
    alone(|screen| {
        let mut session = session(screen);
        let listen = |session: &mut Session| session.text("listen").unwrap().to_lowercase();
        let output = listen(&mut session);
        let mut heard = Vec::new();
        for _ in 0..3 {
            session.key(Key::Sign('l')).unwrap();
            heard.push(listen(&mut session));
        }
        assert_eq!(heard[2], output, "around again: {heard:?}");
        assert!(heard[0] != output && heard[1] != output && heard[0] != heard[1]);
        assert_eq!(moved(&mut session), ["listen"]);

        session.key(Key::Sign('l')).unwrap();
        session.pass(Duration::from_millis(700)).unwrap();
        let removed_db = power_db(&session.live().heard()[0]);
        session.close().unwrap();
        session.pass(Duration::from_millis(700)).unwrap();
        assert_eq!(listen(&mut session), output);
        let output_db = power_db(&session.live().heard()[0]);
        assert!(
            removed_db < output_db - 3.0,
            "{removed_db} dB removed of {output_db} dB"
        );
        assert_eq!(moved(&mut session), ["listen"], "the return is a gesture too");
    });
}

#[test]
fn freezing_by_key_stops_the_picture_and_lets_it_run_on() {
    alone(|screen| {
        let mut session = session(screen);
        let plot_moves = |session: &mut Session| {
            let before = session.picture().unwrap();
            session.pass(Duration::from_millis(400)).unwrap();
            let after = session.picture().unwrap();
            let plot = session.layout().timeline.plot;
            let rows = plot.top() as u32 + 4..plot.bottom() as u32 - 4;
            let mut pixels =
                rows.flat_map(|y| (plot.left() as u32..plot.right() as u32).map(move |x| (x, y)));
            pixels.any(|(x, y)| before.pixel(x, y) != after.pixel(x, y))
        };
        session.pass(Duration::from_secs(2)).unwrap();
        assert!(plot_moves(&mut session));
        session.key(Key::Sign('f')).unwrap();
        assert!(!plot_moves(&mut session), "frozen, the stream goes on");
        session.key(Key::Sign('f')).unwrap();
        assert!(plot_moves(&mut session), "the stream does not run on");
    });
}
