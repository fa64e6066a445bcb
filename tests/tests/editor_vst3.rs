//! The editor in a VST3 host: the host's own menu for a control, the name of the track, and the size of the window.

#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use emath::{Rect, pos2, vec2};
use siskin_editor_layout::palette::{Color32, LIGHT};
use siskin_editor_layout::{CONTROL_MENU_WIDTH, menu, more_below};
use siskin_tests::hosts::built::SISKIN;
use siskin_tests::hosts::clap::SizePx;
use siskin_tests::hosts::fixtures::vst3_insert;
use siskin_tests::hosts::vst3::ShownMenu;
use siskin_tests::hosts::window::{Button, Vst3Session, on_own_screen};

/// The third of the menu's five zooms.
const ZOOM: f32 = 1.5;
const ZOOM_ITEM: (usize, usize) = (2, 5);
/// What shows as much at this zoom as the first window does.
const ZOOMED: SizePx = SizePx::new(1500, 1080);

/// Chooses a zoom in the editor's menu; returns the sizes that the editor asks the host for.
fn zoom(open: &mut Vst3Session) -> Vec<SizePx> {
    let layout = open.layout();
    open.click(layout.button("zoom").unwrap().center(), Button::Left)
        .unwrap();
    let (item, items) = ZOOM_ITEM;
    open.click(layout.zoom_menu(items)[item].center(), Button::Left)
        .unwrap();
    open.pixels_per_point = ZOOM;
    open.wait_until("the editor asks for a size", |open| {
        let asked = open.insert.take_sizes();
        Ok((!asked.is_empty()).then_some(asked))
    })
    .unwrap()
}

/// Drags the output gain, where the layout has it, and waits until the host knows.
fn drag_gain(open: &mut Vst3Session) {
    let gain = open.insert.number_of("Output gain");
    let before = open.insert.value(gain);
    let at = open.layout().cell("out_gain").unwrap().track.center();
    open.point(at).unwrap();
    open.screen.button(Button::Left, true).unwrap();
    open.point(at + vec2(15.0, 0.0)).unwrap();
    open.screen.button(Button::Left, false).unwrap();
    open.wait_until("the gain moves", |open| {
        Ok((open.insert.value(gain) != before).then_some(()))
    })
    .unwrap();
}

#[test]
fn host_menu_opens_at_the_control_in_vst3() {
    on_own_screen(|screen| {
        let mut open = Vst3Session::open(screen, vst3_insert(SISKIN)).unwrap();
        let range = open.insert.number_of("Sibilance range");
        assert_ne!(open.insert.value(range), 1.0);
        let at = open.layout().cell("sib_range").unwrap().name.center();
        open.click(at, Button::Right).unwrap();
        let items = menu(at, CONTROL_MENU_WIDTH, 4);
        open.click(items[3].center(), Button::Left).unwrap();
        let shown = open
            .wait_until("the host shows its menu", |open| {
                let shown = open.insert.take_menus();
                Ok((!shown.is_empty()).then_some(shown))
            })
            .unwrap();
        let [ShownMenu { parameter, x, y }] = shown[..] else {
            panic!("{shown:?}");
        };
        assert_eq!(parameter, range);
        // The pointer moves by a pixel to see frames.
        let away = (at - pos2(x as f32, y as f32)).abs();
        assert!(away.x < 2.0 && away.y < 1.0, "{x}, {y}");
        assert_eq!(open.insert.value(range), 1.0, "the item that was chosen");
    });
}

#[test]
fn title_names_the_track_in_vst3() {
    on_own_screen(|screen| {
        let mut open = Vst3Session::open(screen, vst3_insert(SISKIN)).unwrap();
        let title = open.layout().title;
        let unnamed = open.picture_of(title).unwrap();
        assert!(open.insert.set_track("Lead vocal", 0xff20_8040));
        let named = open.picture_of(title).unwrap();
        assert!(named != unnamed);
        assert!(open.insert.set_track("Double", 0xff20_8040));
        assert!(open.picture_of(title).unwrap() != named);
        assert!(open.insert.set_track("", 0xff20_8040));
        assert!(open.picture_of(title).unwrap() == unnamed);
        // The colour is in the margin left of the title.
        let margin = Rect::from_min_max(pos2(0.0, title.top()), title.left_bottom());
        let green = open.picture_of(margin).unwrap();
        assert!(green.share_of(Color32::from_rgb(0x20, 0x80, 0x40)) > 0.05);
        assert!(open.insert.set_track("", 0xff80_2040));
        assert!(
            open.picture_of(margin)
                .unwrap()
                .share_of(Color32::from_rgb(0x80, 0x20, 0x40))
                > 0.05
        );
    });
}

#[test]
fn a_zoom_asks_the_vst3_host_for_room() {
    on_own_screen(|screen| {
        let mut open = Vst3Session::open(screen, vst3_insert(SISKIN)).unwrap();
        assert_eq!(open.insert.take_sizes(), [], "opening asks for nothing");
        open.insert.follow_sizes(true);
        assert_eq!(zoom(&mut open), [ZOOMED]);
        open.screen.resize(open.window, ZOOMED).unwrap();
        open.size = ZOOMED;
        open.wait_until("the editor's window has the size", |open| {
            Ok((open.screen.children(open.window).unwrap() == [ZOOMED]).then_some(()))
        })
        .unwrap();
        drag_gain(&mut open);
        open.at_rest().unwrap();
        assert_eq!(open.insert.take_sizes(), [], "once is enough");
    });
}

#[test]
fn without_room_from_the_vst3_host_the_page_scrolls() {
    on_own_screen(|screen| {
        let mut open = Vst3Session::open(screen, vst3_insert(SISKIN)).unwrap();
        let first = open.size;
        assert_eq!(zoom(&mut open), [ZOOMED]);
        let tab = more_below(open.window_area()).shrink(2.0);
        let said = open.picture_of(tab).unwrap().share_of(LIGHT.surface);
        assert!(said > 0.3, "more below: {said}");
        assert_eq!(open.screen.children(open.window).unwrap(), [first]);
        assert_eq!(open.insert.take_sizes(), [], "a refusal is final");
    });
}
