//! The editor in a VST3 host: the host's own menu for a control, the name of the track, and the size of the window.

#![cfg(target_os = "linux")]
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::time::{Duration, Instant};

use emath::{Pos2, Rect, pos2, vec2};
use siskin_editor_layout::palette::LIGHT;
use siskin_editor_layout::{CONTROL_MENU_WIDTH, Layout, menu, more_below};
use siskin_tests::hosts::built::{SISKIN, vst3_bundle};
use siskin_tests::hosts::clap::SizePx;
use siskin_tests::hosts::vst3::{Module, ShownMenu, Vst3Insert, Vst3View};
use siskin_tests::hosts::window::{Button, EMPTY, HostWindow, Load, NOWHERE, Picture, Screen, on_own_screen};

/// A condition that takes longer never comes true.
const LIMIT: Duration = Duration::from_secs(120);
/// Fraction of a window that may still be empty once its editor has painted.
const PAINTED: f64 = 0.001;
/// Corner of the window on the screen, pixels.
const CORNER: i16 = 16;
/// The third of the menu's five zooms.
const ZOOM: f32 = 1.5;
const ZOOM_ITEM: (usize, usize) = (2, 5);
/// What shows as much at this zoom as the first window does.
const ZOOMED: SizePx = SizePx::new(1500, 1080);

/// An insert with its editor open.
struct Open {
    view: Option<Vst3View>,
    /// Threads before the editor opened.
    threads: usize,
    insert: Vst3Insert,
    screen: Screen,
    window: HostWindow,
    size: SizePx,
    pixels_per_point: f32,
}

/// The window's threads may outlive it by a moment (baseview 0.4.2 does not wait for all of them), and a program that ends
/// before them crashes.
impl Drop for Open {
    fn drop(&mut self) {
        drop(self.view.take());
        let start = Instant::now();
        while Load::threads() > self.threads && start.elapsed() < LIMIT {
            std::thread::sleep(Duration::from_millis(2));
        }
    }
}

impl Open {
    fn new(screen: Screen) -> Self {
        let mut insert = Module::load(&vst3_bundle()).insert(SISKIN);
        let (view, size) = insert.create_view();
        let window = screen.window(size, CORNER, CORNER).unwrap();
        let threads = Load::threads();
        let view = insert.attach(view, window.id);
        screen.focus(window).unwrap();
        let mut open = Self {
            view: Some(view),
            threads,
            insert,
            screen,
            window,
            size,
            pixels_per_point: 1.0,
        };
        open.wait_until("the editor paints its window", |open| {
            let picture = open.screen.picture(open.window, open.size).unwrap();
            (picture.share_of(EMPTY) < PAINTED).then_some(())
        });
        open
    }

    fn layout(&self) -> Layout {
        Layout::new(self.window_area().size(), false)
    }

    /// The whole window, in points.
    fn window_area(&self) -> Rect {
        let pixels = vec2(self.size.width as f32, self.size.height as f32);
        Rect::from_min_size(Pos2::ZERO, pixels / self.pixels_per_point)
    }

    /// Waits until `next` has an answer, while the UI thread does its work.
    fn wait_until<T>(&mut self, condition: &str, mut next: impl FnMut(&mut Self) -> Option<T>) -> T {
        let start = Instant::now();
        loop {
            if let Some(answer) = next(self) {
                return answer;
            }
            assert!(start.elapsed() < LIMIT, "timed out waiting until {condition}");
            self.insert.take_requests();
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    /// Waits until the editor has drawn the result of all input so far. It draws a frame after each event; one may have begun
    /// before the last event, the one after it has not.
    fn sync(&mut self, pointer: Pos2) {
        let pixels_per_point = self.pixels_per_point;
        let pixel = |point: f32| CORNER + (point * pixels_per_point).round() as i16;
        for offset in [1, 0, 1, 0] {
            self.screen.discard_frames().unwrap();
            self.screen
                .point(pixel(pointer.x) + offset, pixel(pointer.y))
                .unwrap();
            self.wait_until("the editor draws a frame", |open| {
                open.screen.has_frame(open.window).unwrap().then_some(())
            });
        }
    }

    /// What the window shows once new frames change nothing.
    fn at_rest(&mut self) -> Picture {
        let mut last = None;
        self.wait_until("the picture comes to rest", |open| {
            open.sync(NOWHERE);
            let now = open.screen.picture(open.window, open.size).unwrap();
            let rests = last.replace(now.clone()).as_ref() == Some(&now);
            rests.then_some(now)
        })
    }

    fn click(&mut self, at: Pos2, button: Button) {
        self.sync(at);
        for down in [true, false] {
            self.screen.button(button, down).unwrap();
        }
        self.sync(at);
    }

    /// What the window shows within an area of the layout.
    fn picture_of(&mut self, area: Rect) -> Picture {
        let pixels_per_point = self.pixels_per_point;
        let pixel = |point: f32| (point * pixels_per_point).max(0.0) as u32;
        self.at_rest().cut(
            pixel(area.left())..pixel(area.right()),
            pixel(area.top())..pixel(area.bottom()),
        )
    }

    /// Chooses a zoom in the editor's menu; returns the sizes that the editor asks the host for.
    fn zoom(&mut self) -> Vec<SizePx> {
        let layout = self.layout();
        self.click(layout.button("zoom").unwrap().center(), Button::Left);
        let (item, items) = ZOOM_ITEM;
        self.click(layout.zoom_menu(items)[item].center(), Button::Left);
        self.pixels_per_point = ZOOM;
        self.wait_until("the editor asks for a size", |open| {
            let asked = open.insert.take_sizes();
            (!asked.is_empty()).then_some(asked)
        })
    }

    /// Drags the output gain, where the layout has it, and waits until the host knows.
    fn drag_gain(&mut self) {
        let mut parameters = self.insert.parameters().into_iter();
        let gain = parameters.find(|known| known.title == "Output gain").unwrap().id;
        let before = self.insert.value(gain);
        let at = self.layout().cell("out_gain").unwrap().track.center();
        self.sync(at);
        self.screen.button(Button::Left, true).unwrap();
        self.sync(at + vec2(15.0, 0.0));
        self.screen.button(Button::Left, false).unwrap();
        self.wait_until("the gain moves", |open| {
            (open.insert.value(gain) != before).then_some(())
        });
    }
}

#[test]
fn host_menu_opens_at_the_control_in_vst3() {
    on_own_screen(|screen| {
        let mut open = Open::new(screen);
        let range = open
            .insert
            .parameters()
            .into_iter()
            .find(|known| known.title == "Sibilance range");
        let range = range.unwrap().id;
        assert_ne!(open.insert.value(range), 1.0);
        let at = open.layout().cell("sib_range").unwrap().name.center();
        open.click(at, Button::Right);
        let items = menu(at, CONTROL_MENU_WIDTH, 4);
        open.click(items[3].center(), Button::Left);
        let shown = open.wait_until("the host shows its menu", |open| {
            let shown = open.insert.take_menus();
            (!shown.is_empty()).then_some(shown)
        });
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
        let mut open = Open::new(screen);
        let title = open.layout().title;
        let unnamed = open.picture_of(title);
        assert!(open.insert.set_track("Lead vocal", 0xff20_8040));
        let named = open.picture_of(title);
        assert!(named != unnamed);
        assert!(open.insert.set_track("Double", 0xff20_8040));
        assert!(open.picture_of(title) != named);
        assert!(open.insert.set_track("", 0xff20_8040));
        assert!(open.picture_of(title) == unnamed);
        // The colour is in the margin left of the title.
        let margin = Rect::from_min_max(pos2(0.0, title.top()), title.left_bottom());
        let green = open.picture_of(margin);
        assert!(green.share_of([0x20, 0x80, 0x40]) > 0.05);
        assert!(open.insert.set_track("", 0xff80_2040));
        assert!(open.picture_of(margin).share_of([0x80, 0x20, 0x40]) > 0.05);
    });
}

#[test]
fn a_zoom_asks_the_vst3_host_for_room() {
    on_own_screen(|screen| {
        let mut open = Open::new(screen);
        assert_eq!(open.insert.take_sizes(), [], "opening asks for nothing");
        open.insert.follow_sizes(true);
        assert_eq!(open.zoom(), [ZOOMED]);
        open.screen.resize(open.window, ZOOMED).unwrap();
        open.size = ZOOMED;
        open.wait_until("the editor's window has the size", |open| {
            (open.screen.children(open.window).unwrap() == [ZOOMED]).then_some(())
        });
        open.drag_gain();
        open.at_rest();
        assert_eq!(open.insert.take_sizes(), [], "once is enough");
    });
}

#[test]
fn without_room_from_the_vst3_host_the_page_scrolls() {
    on_own_screen(|screen| {
        let mut open = Open::new(screen);
        let first = open.size;
        assert_eq!(open.zoom(), [ZOOMED]);
        let tab = more_below(open.window_area()).shrink(2.0);
        let [red, green, blue, _] = LIGHT.surface.to_array();
        let said = open.picture_of(tab).share_of([red, green, blue]);
        assert!(said > 0.3, "more below: {said}");
        assert_eq!(open.screen.children(open.window).unwrap(), [first]);
        assert_eq!(open.insert.take_sizes(), [], "a refusal is final");
    });
}
