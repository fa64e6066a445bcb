//! What the host adds to the editor: its own menu for a control, and marks of automation and controllers.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::rc::Rc;

use emath::{Pos2, Rect, pos2, vec2};
use siskin_editor_layout::{CONTROL_MENU_WIDTH, menu};
use siskin_tests::hosts::EventKind;
use siskin_tests::hosts::built::{SISKIN, insert};
use siskin_tests::hosts::clap::{Automation, ShownMenu};
use siskin_tests::hosts::window::{
    Button, NOWHERE, Opening, Picture, Session, bursts, in_editor, on_own_screen,
};

/// A parameter whose control has room for its menu below the pointer.
const ID: &str = "sib_range";
/// The place of the host's menu among the items of a control's menu.
const HOST_MENU: usize = 3;

/// Opens the menu of [`ID`], and clicks where the item for the host's menu is or would be.
fn choose_host_menu(session: &mut Session) -> Pos2 {
    let at = session.layout().cell(ID).unwrap().name.center();
    session.click(at, Button::Right).unwrap();
    let items = menu(at, CONTROL_MENU_WIDTH, HOST_MENU + 1);
    session.click_in(items[HOST_MENU]).unwrap();
    at
}

#[test]
fn host_menu_opens_at_the_control_where_the_host_has_one() {
    on_own_screen(|screen| {
        let mut session = Session::new(&Rc::new(screen), insert(SISKIN), bursts()).unwrap();
        session.open(Opening::default()).unwrap();
        choose_host_menu(&mut session);
        assert_eq!(session.plugin().take_menu(), None, "the host has no menu");
        session.close().unwrap();
        session.plugin().offer_menu(true);
        session.open(Opening::default()).unwrap();
        let at = choose_host_menu(&mut session);
        let mut shown = None;
        session
            .wait_until("the host shows its menu", |session| {
                shown = session.plugin().take_menu();
                Ok(shown.is_some())
            })
            .unwrap();
        let ShownMenu { parameter, x, y } = shown.unwrap();
        assert_eq!(parameter.as_deref(), Some(ID));
        // The pointer moves by a pixel to see frames.
        let away = (at - pos2(x as f32, y as f32)).abs();
        assert!(away.x < 2.0 && away.y < 1.0, "{x}, {y}");
        assert!(session.gestures().is_empty(), "the menu itself changes nothing");
        // The host's item: automation of the parameter, which plays.
        session.point(NOWHERE).unwrap();
        let before = mark(&mut session);
        session
            .plugin()
            .indicate_automation(ID, Automation::Playing)
            .unwrap();
        session.wait_for_change(mark_area(&session), &before).unwrap();
    });
}

/// The margin left of the control.
fn mark_area(session: &Session) -> Rect {
    let cell = session.layout().cell(ID).unwrap().area;
    Rect::from_min_max(
        pos2(cell.left() - 12.0, cell.top()),
        cell.left_bottom() - vec2(5.0, 0.0),
    )
}

fn mark(session: &mut Session) -> Picture {
    session.picture_at_rest().unwrap();
    session.picture_of(mark_area(session)).unwrap()
}

#[test]
fn each_indication_of_the_host_has_a_mark_of_its_own() {
    on_own_screen(|screen| {
        let mut session = Session::new(&Rc::new(screen), insert(SISKIN), bursts()).unwrap();
        session
            .plugin()
            .indicate_automation(ID, Automation::Present)
            .unwrap();
        session.open(Opening::default()).unwrap();
        let mut marks = vec![mark(&mut session)];
        for automation in [
            Automation::None,
            Automation::Playing,
            Automation::Recording,
            Automation::Overriding,
        ] {
            session.plugin().indicate_automation(ID, automation).unwrap();
            marks.push(mark(&mut session));
        }
        session.plugin().indicate_controller(ID, Some("Knob 1")).unwrap();
        marks.push(mark(&mut session));
        session
            .plugin()
            .indicate_automation(ID, Automation::None)
            .unwrap();
        marks.push(mark(&mut session));
        for (index, one) in marks.iter().enumerate() {
            assert!(marks[..index].iter().all(|other| other != one), "mark {index}");
        }
        let none = &marks[1];
        session.plugin().indicate_controller(ID, None).unwrap();
        assert!(mark(&mut session) == *none, "nothing is left of an indication");
        session
            .plugin()
            .indicate_automation("lev_ratio", Automation::Playing)
            .unwrap();
        assert!(mark(&mut session) == *none, "another parameter");
    });
}

#[test]
fn a_modulated_value_has_a_mark_of_its_own() {
    in_editor(|mut session| {
        let track = session.layout().cell(ID).unwrap().track;
        let (left, right) = track.split_left_right_at_fraction(0.6);
        let before = [left, right].map(|half| session.picture_of(half).unwrap());
        let number = session.plugin().parameter(ID).unwrap().clap_id;
        let span = {
            let parameter = session.plugin().parameter(ID).unwrap();
            parameter.highest - parameter.lowest
        };
        session.live().send(number, EventKind::Modulation(0.3 * span));
        session.wait_for_change(right, &before[1]).unwrap();
        assert!(
            session.picture_of(left).unwrap() == before[0],
            "the value that is set keeps its mark"
        );
    });
}
