//! The editor's title names the track that the host tells.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::rc::Rc;

use emath::{Rect, pos2};
use siskin_tests::hosts::built::{SISKIN, insert};
use siskin_tests::hosts::window::{Opening, Session, bursts, on_own_screen};

/// Names the track, and waits until the title is another one.
fn rename(session: &mut Session, name: &str) {
    let title = session.layout().title;
    let before = session.picture_of(title).unwrap();
    session.plugin().set_track(name).unwrap();
    session.wait_for_change(title, &before).unwrap();
}

#[test]
fn title_names_the_track_and_stays_in_its_place() {
    on_own_screen(|screen| {
        let mut session = Session::new(&Rc::new(screen), insert(SISKIN), bursts()).unwrap();
        session.open(Opening::default()).unwrap();
        session.picture_at_rest().unwrap();
        let title = session.layout().title;
        let beside = Rect::from_min_max(title.right_top(), pos2(title.right() + 200.0, title.bottom()));
        let before = session.picture_of(beside).unwrap();
        rename(&mut session, "Lead vocal");
        let named = session.picture_of(title).unwrap();
        rename(&mut session, &"Lead vocal, double, left ".repeat(8));
        session.picture_at_rest().unwrap();
        assert!(
            session.picture_of(beside).unwrap() == before,
            "the title leaves its place"
        );
        // A name that is told before the window opens is there at once.
        session.close().unwrap();
        session.plugin().set_track("Lead vocal").unwrap();
        session.open(Opening::default()).unwrap();
        session.picture_at_rest().unwrap();
        assert!(session.picture_of(title).unwrap() == named);
    });
}
