//! The page without a window: pointer, wheel and keys as the toolkit gets them, and what the host is told.

use std::sync::{Arc, Mutex};

use egui::{Context, Event, Key, Modifiers, MouseWheelUnit, PointerButton, Pos2, RawInput, Rect, vec2};

use super::app::Open;
use super::layout::{FIRST_SIZE, Layout};
use super::notebook::Notebook;
use super::shell::Made;
use super::typeface;
use super::window::Window;
use crate::kind::Following;
use crate::params::{FollowParamsWithSource, InsertParams};
use crate::starting_points;
use crate::telemetry::telemetry;

/// A page with its host.
struct Page {
    context: Context,
    made: Made,
    open: Open,
    notebook: Arc<Notebook>,
    layout: Layout,
    time_s: f64,
}

impl Page {
    fn new() -> Self {
        let params = Arc::new(InsertParams::<FollowParamsWithSource>::default());
        let notebook = Notebook::of(&*params);
        let context = Context::default();
        typeface::dress(&context);
        let mut page = Self {
            open: Open::new(&context, notebook.host(), params.clone()),
            made: Made {
                name: "Siskin Follow",
                params,
                window: Arc::<Window>::default(),
                telemetry: Mutex::new(telemetry().1),
                starting_points: starting_points::of::<Following>().collect(),
            },
            context,
            notebook,
            layout: Layout::new(FIRST_SIZE, true),
            time_s: 0.0,
        };
        page.frame(vec![]);
        page.frame(vec![]);
        page
    }

    /// Draws a frame in which this comes; a second after the one before.
    fn frame(&mut self, events: Vec<Event>) {
        self.time_s += 1.0;
        self.frame_after(0.0, events);
    }

    fn frame_after(&mut self, seconds: f64, events: Vec<Event>) {
        self.time_s += seconds;
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, FIRST_SIZE)),
            time: Some(self.time_s),
            focused: true,
            events,
            ..RawInput::default()
        };
        let mut output = self
            .context
            .clone()
            .run_ui(input, |ui| self.open.frame(ui, &self.made));
        output.textures_delta.clear();
    }

    fn key(&mut self, key: Key) {
        for pressed in [true, false] {
            self.frame(vec![Event::Key {
                key,
                physical_key: None,
                pressed,
                repeat: false,
                modifiers: Modifiers::NONE,
            }]);
        }
    }

    fn press(&mut self, at: Pos2, pressed: bool) {
        self.frame_after(
            0.02,
            vec![
                Event::PointerMoved(at),
                Event::PointerButton {
                    pos: at,
                    button: PointerButton::Primary,
                    pressed,
                    modifiers: Modifiers::NONE,
                },
            ],
        );
    }

    fn click(&mut self, at: Pos2) {
        self.frame(vec![Event::PointerMoved(at)]);
        self.press(at, true);
        self.press(at, false);
        self.frame_after(0.02, vec![]);
    }

    fn drag(&mut self, from: Pos2, by: egui::Vec2) {
        self.frame(vec![Event::PointerMoved(from)]);
        self.press(from, true);
        self.frame_after(0.02, vec![Event::PointerMoved(from + 0.5 * by)]);
        self.frame_after(0.02, vec![Event::PointerMoved(from + by)]);
        self.press(from + by, false);
    }

    fn told(&self) -> String {
        self.notebook.read().join(", ")
    }

    /// Tab until the keyboard is at a control.
    fn tab_to(&mut self, id: &str) {
        for _ in 0..60 {
            if self
                .context
                .memory(|memory| memory.has_focus(super::cell::id(id, "cell")))
            {
                return;
            }
            self.key(Key::Tab);
        }
        panic!("Tab never comes to {id}");
    }
}

#[test]
fn the_flag_and_the_edge_are_dragged_as_one_gesture_each() {
    let mut page = Page::new();
    // Before anything was heard the threshold stands at Start level and Proportion: -30 LUFS.
    let grip = page.layout.stream.grip(-30.0).center();
    let up = page.layout.stream.y(-30.0) - page.layout.stream.y(-24.0);
    page.drag(grip, vec2(0.0, -up));
    // 6 LU of a travel of 36, from -6 LU.
    assert_eq!(
        page.told(),
        "begin sib_prop, sib_prop 0.58, sib_prop 0.67, end sib_prop"
    );
    let line = egui::pos2(page.layout.stream.plot.center().x, page.layout.stream.y(-30.0));
    page.drag(line, vec2(0.0, -up));
    assert_eq!(
        page.told(),
        "begin sib_prop, sib_prop 0.58, sib_prop 0.67, end sib_prop"
    );
    let edge = egui::pos2(
        page.layout.spectrum.x(4000.0),
        page.layout.spectrum.plot.center().y,
    );
    page.drag(edge, vec2(10.0, 0.0));
    let told = page.told();
    assert!(
        told.starts_with("begin sib_from, sib_from 0.") && told.ends_with("end sib_from"),
        "{told}"
    );
}

#[test]
fn a_click_on_the_picture_freezes_it_and_tells_the_host_nothing() {
    let mut page = Page::new();
    page.click(page.layout.stream.plot.center_top() + vec2(0.0, 30.0));
    assert!(page.open.heard.stream.is_frozen());
    page.click(page.layout.stream.plot.center_top() + vec2(0.0, 30.0));
    assert!(!page.open.heard.stream.is_frozen());
    assert_eq!(page.told(), "");
}

#[test]
fn a_value_is_typed_after_a_click() {
    let mut page = Page::new();
    let range = page.layout.cell("sib_range").unwrap();
    page.click(range.value.center());
    page.frame(vec![Event::Text("9 dB".to_owned())]);
    page.key(Key::Enter);
    assert_eq!(page.told(), "begin sib_range, sib_range 0.38, end sib_range");
    page.click(range.value.center());
    page.frame(vec![Event::Text("nonsense".to_owned())]);
    page.key(Key::Enter);
    page.click(range.value.center());
    page.frame(vec![Event::Text("3".to_owned())]);
    page.key(Key::Escape);
    assert_eq!(
        page.told(),
        "",
        "what cannot be read and what is given up changes nothing"
    );
    assert!(page.open.typing.is_none());
}

#[test]
fn a_double_click_on_a_value_means_the_default_and_types_nothing() {
    let mut page = Page::new();
    let at = page.layout.cell("sib_range").unwrap().value.center();
    page.frame(vec![Event::PointerMoved(at)]);
    page.press(at, true);
    page.press(at, false);
    page.frame_after(0.02, vec![]);
    assert!(page.open.typing.is_some(), "the first click opens the field");
    page.press(at, true);
    page.press(at, false);
    page.frame_after(0.02, vec![]);
    assert!(page.open.typing.is_none());
}

#[test]
fn with_the_keyboard_alone_every_control_is_reached_and_set() {
    let mut page = Page::new();
    page.tab_to("sib_prop");
    page.key(Key::ArrowUp);
    page.key(Key::ArrowLeft);
    page.key(Key::PageUp);
    assert_eq!(
        page.told(),
        "begin sib_prop, sib_prop 0.51, end sib_prop, begin sib_prop, sib_prop 0.49, end sib_prop, \
         begin sib_prop, sib_prop 0.60, end sib_prop"
    );
    page.key(Key::Enter);
    page.frame(vec![Event::Text("-9".to_owned())]);
    page.key(Key::Enter);
    assert_eq!(page.told(), "begin sib_prop, sib_prop 0.42, end sib_prop");
    for control in page.made.params.clone().controls() {
        page.tab_to(control.id);
    }
    page.key(Key::L);
    assert_eq!(page.told(), "begin listen, listen 0.50, end listen");
}

#[test]
fn the_wheel_turns_what_lies_under_the_pointer() {
    let mut page = Page::new();
    let at = page.layout.cell("out_gain").unwrap().area.center();
    page.frame(vec![Event::PointerMoved(at)]);
    page.frame(vec![Event::MouseWheel {
        unit: MouseWheelUnit::Line,
        delta: vec2(0.0, 1.0),
        modifiers: Modifiers::NONE,
        phase: egui::TouchPhase::Move,
        source: egui::MouseWheelSource::Unknown,
    }]);
    assert_eq!(page.told(), "begin out_gain, out_gain 0.51, end out_gain");
}

#[test]
fn a_starting_point_and_a_choice_are_whole_gestures() {
    let mut page = Page::new();
    page.click(page.layout.button("start").unwrap().center());
    page.click(page.layout.start_menu(3)[0].center());
    let told = page.told();
    for id in ["sib_prop", "sib_range", "br_on", "br_prop", "br_range"] {
        assert!(told.contains(&format!("begin {id}, {id} ")), "{id}: {told}");
    }
    assert_eq!(told.matches("begin").count(), 5, "{told}");
    let listen = page.layout.cell("listen").unwrap();
    page.click(listen.choice(2, 3).left_center() + vec2(8.0, 0.0));
    assert_eq!(page.told(), "begin listen, listen 1.00, end listen");
}

#[test]
fn the_plain_list_stands_in_the_place_of_the_pictures() {
    let mut page = Page::new();
    page.click(page.layout.button("list").unwrap().center());
    assert!(page.open.list);
    let row = page.layout.list_row(0);
    page.click(row.left_center() + vec2(20.0, 0.0));
    page.frame(vec![Event::Text("on".to_owned())]);
    page.key(Key::Enter);
    assert_eq!(page.told(), "begin lev_on, lev_on 1.00, end lev_on");
}
