//! The editor by pointer, in a real window: the gestures of each drag, click and wheel notch.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use emath::{Pos2, pos2, vec2};
use siskin_tests::hosts::window::{Button, Key, Session, in_editor};

/// Distance from which on a movement is a drag, points: egui's 6, and a pixel for rounding.
const DRAG_THRESHOLD: f32 = 7.0;

/// The middle of a control's track.
fn track(session: &Session, id: &str) -> Pos2 {
    session.layout().cell(id).unwrap().track.center()
}

/// Values of the only gesture since the last call, which must be on `id`.
fn only_gesture(session: &mut Session, id: &str) -> Vec<f64> {
    let mut gestures = session.gestures();
    assert_eq!(gestures.len(), 1, "{gestures:?}");
    let (moved, gesture) = gestures.remove(0);
    assert_eq!(moved, id);
    assert!(!gesture.values.is_empty(), "{id} did not change");
    gesture.values
}

#[test]
fn the_threshold_is_dragged() {
    in_editor(|mut session| {
        let before = session.number("sib_prop").unwrap();
        let timeline = session.layout().timeline;
        let from = timeline.handle.center();
        // So far that each step of the pointer is a drag and no click: 6 points (egui).
        let distance = timeline.plot.height() / 5.0;
        session.drag(from, from - vec2(0.0, distance)).unwrap();
        let values = only_gesture(&mut session, "sib_prop");
        assert!(values.len() > 1, "a drag passes through values: {values:?}");
        assert!(values.is_sorted(), "up is more: {values:?}");
        let moved = session.number("sib_prop").unwrap() - before;
        let expected = f64::from(timeline.lu_down(distance));
        assert!(
            (moved - expected).abs() < 0.6,
            "{moved} LU for a drag of {expected} LU"
        );
    });
}

#[test]
fn a_double_click_on_the_threshold_resets_it() {
    in_editor(|mut session| {
        session.automate("sib_prop", "-15 LU").unwrap();
        session.expect_number("sib_prop", -15.0).unwrap();
        let handle = session.layout().timeline.handle.center();
        session.double_click(handle).unwrap();
        only_gesture(&mut session, "sib_prop");
        session.expect_number("sib_prop", -6.0).unwrap();
    });
}

#[test]
fn the_edge_is_dragged_in_the_spectrum() {
    in_editor(|mut session| {
        let spectrum = session.layout().spectrum;
        let at = |hz| pos2(spectrum.x(hz), spectrum.plot.center().y);
        session.drag(at(4000.0), at(6000.0)).unwrap();
        only_gesture(&mut session, "sib_from");
        let khz = session.number("sib_from").unwrap();
        // The drag begins after some points, by which the edge stays behind the pointer.
        let behind_khz = f64::from(spectrum.hz(spectrum.x(6000.0) - DRAG_THRESHOLD)) / 1000.0;
        assert!((behind_khz..6.2).contains(&khz), "{khz} kHz");
    });
}

#[test]
fn shift_makes_a_drag_ten_times_finer() {
    in_editor(|mut session| {
        let from = track(&session, "sib_range");
        let distance = vec2(40.0, 0.0);
        let before = session.plugin().value("sib_range").unwrap();
        session.drag(from, from + distance).unwrap();
        only_gesture(&mut session, "sib_range");
        let coarse = session.plugin().value("sib_range").unwrap();
        session.hold_key(Key::Shift, true).unwrap();
        session.drag(from, from + distance).unwrap();
        session.hold_key(Key::Shift, false).unwrap();
        only_gesture(&mut session, "sib_range");
        let fine = session.plugin().value("sib_range").unwrap();
        let share = (fine - coarse) / (coarse - before);
        assert!(coarse - before > 0.1, "{before} to {coarse}");
        assert!(
            (share - 0.1).abs() < 0.04,
            "a fine drag went {share} of a coarse one"
        );
    });
}

#[test]
fn shift_makes_a_drag_ten_times_finer_on_a_curved_scale() {
    in_editor(|mut session| {
        let from = track(&session, "fol_time");
        let dragged_ms = |session: &mut Session| {
            let before = session.number("fol_time").unwrap();
            session.drag(from, from + vec2(60.0, 0.0)).unwrap();
            only_gesture(session, "fol_time");
            let moved = session.number("fol_time").unwrap() - before;
            session.double_click(from).unwrap();
            session.expect_number("fol_time", before).unwrap();
            session.gestures();
            moved
        };
        let coarse_ms = dragged_ms(&mut session);
        session.hold_key(Key::Shift, true).unwrap();
        let fine_ms = dragged_ms(&mut session);
        session.hold_key(Key::Shift, false).unwrap();
        assert!(
            (8.5..11.5).contains(&(coarse_ms / fine_ms)),
            "{coarse_ms} ms, with Shift {fine_ms} ms"
        );
    });
}

#[test]
fn the_wheel_changes_a_value_and_a_double_click_resets_it() {
    in_editor(|mut session| {
        let at = track(&session, "out_gain");
        let turn = |session: &mut Session, notches: i32| {
            session.wheel(at, notches).unwrap();
            let gestures = session.gestures();
            assert!(
                !gestures.is_empty() && gestures.iter().all(|(id, _)| id == "out_gain"),
                "{gestures:?}"
            );
            session.number("out_gain").unwrap()
        };
        let louder = turn(&mut session, 3);
        assert!(louder > 0.0, "{louder} dB");
        let softer = turn(&mut session, -6);
        assert!(softer < 0.0, "{softer} dB");
        session.double_click(at).unwrap();
        only_gesture(&mut session, "out_gain");
        session.expect_number("out_gain", 0.0).unwrap();
    });
}

#[test]
fn the_wheel_flips_no_switch() {
    in_editor(|mut session| {
        for id in ["lev_auto", "bypass", "listen", "look", "lev_on"] {
            let at = track(&session, id);
            session.wheel(at, 2).unwrap();
            session.wheel(at, -2).unwrap();
            assert!(session.gestures().is_empty(), "{id}");
        }
    });
}

#[test]
fn a_value_is_clicked_and_typed() {
    in_editor(|mut session| {
        let value = session.layout().cell("sib_prop").unwrap().value;
        session.type_into(value, "-9.5").unwrap();
        assert!(session.gestures().is_empty(), "nothing is set before Enter");
        session.key(Key::Enter).unwrap();
        only_gesture(&mut session, "sib_prop");
        session.expect_number("sib_prop", -9.5).unwrap();

        session.type_into(value, "3").unwrap();
        session.key(Key::Escape).unwrap();
        session.type_into(value, "loud").unwrap();
        session.key(Key::Enter).unwrap();
        assert!(
            session.gestures().is_empty(),
            "neither Escape nor invalid text sets anything"
        );
        session.expect_number("sib_prop", -9.5).unwrap();
    });
}

#[test]
fn a_switch_and_a_choice_are_clicked() {
    in_editor(|mut session| {
        let layout = session.layout();
        session
            .click_in(layout.cell("lev_on").unwrap().choice(1, 2))
            .unwrap();
        only_gesture(&mut session, "lev_on");
        assert_eq!(session.text("lev_on").unwrap(), "on");
        session
            .click_in(layout.cell("listen").unwrap().choice(1, 3))
            .unwrap();
        only_gesture(&mut session, "listen");
        assert_eq!(session.plugin().value("listen").unwrap(), 1.0);
    });
}

#[test]
fn the_menu_of_a_control_resets_it() {
    in_editor(|mut session| {
        session.automate("sib_ratio", "3").unwrap();
        let name = session.layout().cell("sib_ratio").unwrap().name.left_center() + vec2(10.0, 0.0);
        session.click(name, Button::Right).unwrap();
        // The first item of the menu, which opens at the pointer.
        session.click(name + vec2(20.0, 12.0), Button::Left).unwrap();
        only_gesture(&mut session, "sib_ratio");
        session.expect_number("sib_ratio", 6.0).unwrap();
    });
}

#[test]
fn pointing_and_reading_changes_nothing() {
    in_editor(|mut session| {
        let layout = session.layout();
        for (_, cell) in layout.cells() {
            session.point(cell.area.center()).unwrap();
        }
        session
            .click(layout.timeline.plot.center() - vec2(0.0, 60.0), Button::Left)
            .unwrap();
        session.click_in(layout.button("list")).unwrap();
        session.click_in(layout.button("list")).unwrap();
        assert!(session.gestures().is_empty());
    });
}
