//! The editor under the keys alone, in a real window.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::rc::Rc;
use std::time::Duration;

use siskin_tests::pieces::SISKIN;
use siskin_tests::signals::power_db;
use siskin_tests::window::{Key, Screen, Session, alone, bursts};

/// More stops of Tab than the window has.
const ALL_STOPS: usize = 60;

fn session(screen: Screen) -> Session {
    let mut session = Session::running(&Rc::new(screen), SISKIN, bursts()).unwrap();
    session.point(egui::pos2(2.0, 2.0)).unwrap();
    session
}

/// What has been moved, each parameter once, in order.
fn moved(session: &mut Session) -> Vec<String> {
    let mut ids: Vec<String> = session.gestures().into_iter().map(|(id, _)| id).collect();
    ids.dedup();
    ids
}

#[test]
fn tab_reaches_every_control_in_the_order_of_the_signal() {
    alone(|screen| {
        let mut session = session(screen);
        let mut reached = Vec::new();
        for _ in 0..ALL_STOPS {
            session.key(Key::Tab).unwrap();
            session.key(Key::Right).unwrap();
            session.key(Key::Left).unwrap();
            reached.extend(moved(&mut session));
        }
        let layout = session.layout();
        let numbers: Vec<&str> = layout
            .cells()
            .map(|(id, _)| id)
            .filter(|id| reached.iter().any(|reached| reached == id))
            .collect();
        let all = layout.cells().count();
        assert!(
            numbers.len() >= all - 1,
            "the keys reach {numbers:?} of {all} controls"
        );
        let first: Vec<&String> = reached.iter().filter(|id| id.starts_with("sib_")).collect();
        assert!(!first.is_empty());
    });
}

#[test]
fn arrows_enter_and_delete_set_a_value() {
    alone(|screen| {
        let mut session = session(screen);
        let mut at = None;
        for stop in 0..ALL_STOPS {
            session.key(Key::Tab).unwrap();
            session.key(Key::Up).unwrap();
            if moved(&mut session) == ["out_gain"] {
                at = Some(stop);
                break;
            }
        }
        assert!(at.is_some(), "Tab does not reach the output gain");
        let up = session.number("out_gain").unwrap();
        assert!(up > 0.0, "{up} dB");
        session.key(Key::Down).unwrap();
        session.key(Key::Down).unwrap();
        assert!(session.number("out_gain").unwrap() < 0.0);
        session.key(Key::Enter).unwrap();
        session.write("-4.5").unwrap();
        session.key(Key::Enter).unwrap();
        assert_eq!(session.number("out_gain").unwrap(), -4.5);
        session.key(Key::Delete).unwrap();
        assert_eq!(session.number("out_gain").unwrap(), 0.0);
        assert_eq!(moved(&mut session), ["out_gain"]);
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
            let plot = session.layout().stream.plot;
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
