//! The keyboard of an editor whose host keeps the X focus.

#![cfg(not(windows))]
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use emath::Pos2;
use siskin_tests::hosts::window::{Button, FocusHost, FocusPlace, Key, NOWHERE, Session, in_editor};

/// Rounds in each host: a key, and a number that is typed. `SISKIN_FOCUS_ROUNDS=200` in the environment asks for more.
const ROUNDS: u32 = 10;
/// The host takes the focus again up to this many drawings after a click.
const LATEST_FRAME: u32 = 8;
/// Blocks in which the editor would take the focus back: it draws thirty frames a second.
const BLOCKS: u64 = 60;

/// Clicks and waits until the host has taken the focus again and the editor has drawn some frames since.
fn click(session: &mut Session, host: &FocusHost, at: Pos2, index: u32) {
    host.take_after(index % LATEST_FRAME);
    session.click(at, Button::Left).unwrap();
    session
        .wait_until(
            "the host takes the focus again",
            |_| Ok(host.taken() == index + 1),
        )
        .unwrap();
    session.sync().unwrap();
}

/// Ids changed since the last call.
fn moved(session: &mut Session) -> Vec<String> {
    session.gestures().into_iter().map(|(id, _)| id).collect()
}

/// The rounds that are asked for.
fn rounds() -> u32 {
    std::env::var("SISKIN_FOCUS_ROUNDS").map_or(ROUNDS, |rounds| rounds.parse().unwrap())
}

/// Clicks beside the controls, and presses the key of Listen; then clicks a value, and types.
fn every_key_arrives(mut session: Session, place: FocusPlace, forwards: bool) {
    let window = session.host_window().unwrap();
    let host = FocusHost::start(window, place, forwards).unwrap();
    let empty = session.layout().title.center();
    let value = session.layout().cell("sib_range").unwrap().value.center();
    let clicks = 2 * rounds();
    for index in 0..clicks {
        if index % 2 == 0 {
            click(&mut session, &host, empty, index);
            session.key(Key::Sign('l')).unwrap();
            assert_eq!(moved(&mut session), ["listen"], "click {index}");
        } else {
            let typed = 3 + index % 19;
            click(&mut session, &host, value, index);
            session.write(&typed.to_string()).unwrap();
            session.key(Key::Enter).unwrap();
            assert_eq!(moved(&mut session), ["sib_range"], "click {index}");
            session.expect_number("sib_range", f64::from(typed)).unwrap();
        }
        // The pointer elsewhere over the editor, so that the next click moves there.
        session.point(NOWHERE).unwrap();
    }
    assert_eq!(host.keys(), 0, "keys went to the host");
    let each = rounds();
    println!("{place:?}: {each} of {each} keys and {each} of {each} numbers arrived");
}

#[test]
fn keys_arrive_where_the_host_keeps_focus_on_its_window() {
    in_editor(|session| every_key_arrives(session, FocusPlace::TopLevel, false));
}

#[test]
fn keys_arrive_where_the_host_keeps_focus_beside_the_editor() {
    in_editor(|session| every_key_arrives(session, FocusPlace::KeyWindow, false));
}

#[test]
fn keys_arrive_once_where_the_host_forwards_them() {
    in_editor(|session| every_key_arrives(session, FocusPlace::KeyWindow, true));
}

#[test]
fn keys_belong_to_the_host_after_a_click_elsewhere() {
    in_editor(|mut session| {
        let window = session.host_window().unwrap();
        let host = FocusHost::start(window, FocusPlace::KeyWindow, false).unwrap();
        let empty = session.layout().title.center();
        click(&mut session, &host, empty, 0);
        session.leave().unwrap();
        // The editor draws without the pointer before anybody could click elsewhere.
        session.play_blocks(BLOCKS).unwrap();
        host.take_now();
        session
            .wait_until("the host has the focus", |_| Ok(host.taken() == 2))
            .unwrap();
        session.play_blocks(BLOCKS).unwrap();
        session.key_to_focus(Key::Sign('l')).unwrap();
        session
            .wait_until("the host gets the key", |_| Ok(host.keys() == 1))
            .unwrap();
        assert_eq!(moved(&mut session), [""; 0]);
    });
}
