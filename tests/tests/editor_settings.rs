//! Whole settings in a real window: comparing two, starting points, and what is proposed after listening.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::rc::Rc;

use siskin_tests::hosts::built::SISKIN;
use siskin_tests::hosts::clap::LiveSound;
use siskin_tests::hosts::window::{Key, Screen, Session, alone, bursts, levelled_song};

fn session(screen: Screen) -> Session {
    Session::running(&Rc::new(screen), SISKIN, bursts()).unwrap()
}

/// The ids of what was moved, in order, none twice.
fn moved(session: &mut Session) -> Vec<String> {
    let mut ids: Vec<String> = session.gestures().into_iter().map(|(id, _)| id).collect();
    ids.sort();
    ids.dedup();
    ids
}

#[test]
fn two_settings_are_compared_and_one_is_copied_to_the_other() {
    alone(|screen| {
        let mut session = session(screen);
        let layout = session.layout();
        let [one, other] = ["setting_1", "setting_2"].map(|name| layout.button(name).unwrap());
        let proportion = layout.cell("sib_prop").unwrap().value;
        let set = |session: &mut Session, text: &str| {
            session.type_into(proportion, text).unwrap();
            session.key(Key::Enter).unwrap();
            session.expect_number("sib_prop", text.parse().unwrap()).unwrap();
        };
        set(&mut session, "-10");
        session.click_in(other).unwrap();
        set(&mut session, "-2");
        moved(&mut session);
        session.click_in(one).unwrap();
        session.expect_number("sib_prop", -10.0).unwrap();
        assert_eq!(moved(&mut session), ["sib_prop"], "only what differs is moved");
        session.click_in(other).unwrap();
        session.expect_number("sib_prop", -2.0).unwrap();
        // From the one that is heard to the other.
        session.click_in(layout.button("copy")).unwrap();
        session.click_in(one).unwrap();
        session.expect_number("sib_prop", -2.0).unwrap();
        set(&mut session, "-7");
        session.key(Key::Escape).unwrap();
        session.key(Key::Sign('2')).unwrap();
        session.expect_number("sib_prop", -2.0).unwrap();
        session.key(Key::Sign('1')).unwrap();
        session.expect_number("sib_prop", -7.0).unwrap();
    });
}

#[test]
fn a_starting_point_is_chosen_from_the_menu() {
    alone(|screen| {
        let mut session = session(screen);
        let layout = session.layout();
        session.automate("out_gain", "-3 dB").unwrap();
        session.click_in(layout.button("start")).unwrap();
        // The menu of Siskin begins with the lead.
        session.click_in(layout.start_menu(1)[0]).unwrap();
        assert_eq!(session.text("br_on").unwrap(), "on");
        session.expect_number("br_prop", -14.0).unwrap();
        session.expect_number("br_range", 6.0).unwrap();
        let moved = moved(&mut session);
        assert!(
            moved.contains(&"br_prop".to_owned()),
            "as gestures of the host: {moved:?}"
        );
    });
}

#[test]
fn a_proposal_is_shown_before_it_is_taken_and_may_be_left() {
    alone(|screen| {
        let screen = Rc::new(screen);
        let sound = LiveSound {
            speed: 3.0,
            ..levelled_song()
        };
        let mut session = Session::running(&screen, SISKIN, sound).unwrap();
        session.live().silence();
        session.automate("sib_from", "9 kHz").unwrap();
        session.live().rest();
        let layout = session.layout();
        let [take, leave] = layout.proposal_buttons();
        for (button, taken) in [(leave, false), (take, true)] {
            let before = session.text("sib_prop").unwrap() + &session.text("sib_from").unwrap();
            session.click_in(layout.button("propose")).unwrap();
            session.play_s(14.0).unwrap();
            assert!(moved(&mut session).is_empty(), "nothing moves before it is taken");
            let shown = session.text("sib_prop").unwrap() + &session.text("sib_from").unwrap();
            assert_eq!(shown, before);
            session.click_in(button).unwrap();
            let after = session.text("sib_prop").unwrap() + &session.text("sib_from").unwrap();
            assert_eq!(after != before, taken, "{before}, then {after}");
            let moved = moved(&mut session);
            assert_eq!(!moved.is_empty(), taken);
            assert!(
                moved.iter().all(|id| id == "sib_prop" || id == "sib_from"),
                "{moved:?}"
            );
        }
        // The voice has its s from 4 to 5 kHz on: an edge at 9 kHz must have been brought down.
        let khz = session.number("sib_from").unwrap();
        assert!(khz < 8.0, "{khz} kHz proposed");
    });
}
