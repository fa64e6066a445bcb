//! Whole settings in a real window: comparison, starting points, proposals.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::rc::Rc;

use siskin_tests::hosts::built::{SISKIN, insert};
use siskin_tests::hosts::window::{Key, Opening, Screen, Session, in_editor, levelled_song, on_own_screen};

/// An editor at the levelled song, which plays as fast as it can.
fn fast_song(screen: Screen) -> Session {
    let mut session = Session::new(&Rc::new(screen), insert(SISKIN), levelled_song().fast()).unwrap();
    session.open(Opening::default()).unwrap();
    session
}

/// Parameters changed since the last call, each once, sorted.
fn moved(session: &mut Session) -> Vec<String> {
    let mut ids: Vec<String> = session.gestures().into_iter().map(|(id, _)| id).collect();
    ids.sort();
    ids.dedup();
    ids
}

#[test]
fn two_settings_are_compared_and_one_is_copied_to_the_other() {
    in_editor(|mut session| {
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
        // From the active setting to the other.
        session.click_in(layout.button("copy")).unwrap();
        session.click_in(one).unwrap();
        session.expect_number("sib_prop", -2.0).unwrap();
        set(&mut session, "-7");
        session.key(Key::Escape).unwrap();
        session.key(Key::Sign('2')).unwrap();
        session.expect_number("sib_prop", -2.0).unwrap();
        session.key(Key::Sign('1')).unwrap();
        session.expect_number("sib_prop", -7.0).unwrap();
        // The song saves the setting that is heard.
        let mut saved = insert(SISKIN);
        saved.load_state(&session.plugin().save_state().unwrap()).unwrap();
        let value = saved.value("sib_prop").unwrap();
        assert_eq!(saved.text_of("sib_prop", value).unwrap(), "-7.0 LU");
    });
}

#[test]
fn the_louder_setting_is_named_and_turned_down() {
    on_own_screen(|screen| {
        let mut session = fast_song(screen);
        let layout = session.layout();
        let status = layout.status;
        session.play_s(6.0).unwrap();
        // The second setting begins as a copy of the first, its loudness included.
        session.click_in(layout.button("setting_2")).unwrap();
        session.live().silence();
        moved(&mut session);
        let equal = session.picture_of(status).unwrap();
        session
            .type_into(layout.cell("out_gain").unwrap().value, "4")
            .unwrap();
        session.key(Key::Enter).unwrap();
        session.expect_number("out_gain", 4.0).unwrap();
        session.wait_for_change(status, &equal).unwrap();
        session.click_in(layout.button("equal")).unwrap();
        session.expect_number("out_gain", 0.0).unwrap();
        session.click_in(layout.button("setting_1")).unwrap();
        session.expect_number("out_gain", 0.0).unwrap();
    });
}

#[test]
fn a_starting_point_is_chosen_from_the_menu() {
    in_editor(|mut session| {
        let layout = session.layout();
        session.automate("out_gain", "-3 dB").unwrap();
        session.click_in(layout.button("start")).unwrap();
        // The first starting point of Siskin is the lead.
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
fn a_proposal_changes_nothing_until_applied() {
    on_own_screen(|screen| {
        let mut session = fast_song(screen);
        session.live().silence();
        session.automate("sib_from", "9 kHz").unwrap();
        session.live().rest();
        let layout = session.layout();
        let [apply, cancel] = layout.proposal_buttons();
        for (button, applied) in [(cancel, false), (apply, true)] {
            let before = session.text("sib_prop").unwrap() + &session.text("sib_from").unwrap();
            session.click_in(layout.button("propose")).unwrap();
            session.play_s(14.0).unwrap();
            assert!(
                moved(&mut session).is_empty(),
                "nothing changes before it is applied"
            );
            let shown = session.text("sib_prop").unwrap() + &session.text("sib_from").unwrap();
            assert_eq!(shown, before);
            session.click_in(button).unwrap();
            let after = session.text("sib_prop").unwrap() + &session.text("sib_from").unwrap();
            assert_eq!(after != before, applied, "{before}, then {after}");
            let moved = moved(&mut session);
            assert_eq!(!moved.is_empty(), applied);
            assert!(
                moved.iter().all(|id| id == "sib_prop" || id == "sib_from"),
                "{moved:?}"
            );
        }
        // The singer's s begins at 4 to 5 kHz, far below the 9 kHz that were set.
        let khz = session.number("sib_from").unwrap();
        assert!(khz < 8.0, "{khz} kHz proposed");
    });
}

#[test]
fn proposals_from_different_passages_agree() {
    on_own_screen(|screen| {
        let mut session = fast_song(screen);
        let layout = session.layout();
        let mut proposed_lu = Vec::new();
        for _ in 0..4 {
            session.click_in(layout.button("propose")).unwrap();
            session.play_s(13.0).unwrap();
            session.click_in(layout.proposal_buttons()[0]).unwrap();
            proposed_lu.push(session.number("sib_prop").unwrap());
        }
        let least = proposed_lu.iter().copied().fold(f64::INFINITY, f64::min);
        let most = proposed_lu.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        assert!(most - least <= 1.0, "{proposed_lu:?} LU");
        // Levelling has brought the song's sibilants up: less than what a natural voice gets.
        assert!((-8.0..-6.0).contains(&least), "{proposed_lu:?} LU");
    });
}
