//! The page without a window: pointer, wheel and keys as the toolkit gets them, and what the host is recorded.

mod keys;
mod sounding;

use std::sync::{Arc, Mutex};

use egui::text::LayoutSection;
use egui::{
    Context, Event, Key, Modifiers, MouseWheelUnit, PointerButton, Pos2, RawInput, Rect, Shape, vec2,
};

use siskin_editor_layout::{FIRST_SIZE, Layout};

use super::frame::Page;
use crate::editor::model::context::EditorContext;
use crate::editor::model::session::EditorSession;
use crate::editor::widgets::recording_host::RecordingHost;
use crate::editor::widgets::{ids, typeface};
use crate::kind::Following;
use crate::params::InsertParams;
use crate::params::starting_points;
use crate::song_notes::song_notes;
use crate::telemetry::{TelemetryWriter, telemetry};

/// A page with its host.
struct TestPage {
    context: Context,
    editor: EditorContext,
    page: Page,
    host: Arc<RecordingHost>,
    sound: TelemetryWriter,
    layout: Layout,
    time_s: f64,
    /// Size of the window, points.
    size: egui::Vec2,
    /// What the last frame has drawn.
    shapes: Vec<egui::epaint::ClippedShape>,
}

impl TestPage {
    fn new() -> Self {
        let params = Arc::new(InsertParams::of::<Following>());
        let host = RecordingHost::new(&*params);
        let context = Context::default();
        let (sound, reader) = telemetry();
        typeface::install(&context);
        let mut page = Self {
            page: Page::new(host.context(), params.clone()),
            editor: EditorContext {
                name: "Siskin Follow",
                params,
                session: Arc::<EditorSession>::default(),
                telemetry: Mutex::new(reader),
                notes: song_notes().1,
                starting_points: starting_points::of::<Following>().collect(),
            },
            context,
            host,
            sound,
            layout: Layout::new(FIRST_SIZE, true),
            time_s: 0.0,
            size: FIRST_SIZE,
            shapes: Vec::new(),
        };
        page.frame(vec![]);
        page.frame(vec![]);
        page
    }

    /// Draws a frame with these events, a second after the previous one.
    fn frame(&mut self, events: Vec<Event>) {
        self.time_s += 1.0;
        self.frame_after(0.0, events);
    }

    fn frame_after(&mut self, seconds: f64, events: Vec<Event>) {
        self.time_s += seconds;
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, self.size)),
            time: Some(self.time_s),
            focused: true,
            events,
            ..RawInput::default()
        };
        let mut output = self
            .context
            .clone()
            .run_ui(input, |ui| self.page.frame(ui, &self.editor));
        output.textures_delta.clear();
        self.shapes = output.shapes;
    }

    /// Each text of the last frame with the size of its letters, points.
    fn texts(&self) -> Vec<(String, f32)> {
        let mut texts = Vec::new();
        let mut shapes: Vec<&Shape> = self.shapes.iter().map(|clipped| &clipped.shape).collect();
        while let Some(shape) = shapes.pop() {
            match shape {
                Shape::Vec(inner) => shapes.extend(inner),
                Shape::Text(text) => {
                    let job = &text.galley.job;
                    let section = |section: &LayoutSection| {
                        let range = section.byte_range.start.0..section.byte_range.end.0;
                        (job.text[range].to_owned(), section.format.font_id.size)
                    };
                    texts.extend(job.sections.iter().map(section));
                }
                _ => {}
            }
        }
        texts
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

    fn recorded(&self) -> String {
        self.host.take_lines().join(", ")
    }

    /// Presses Tab until a control has keyboard focus.
    fn tab_to(&mut self, id: &str) {
        for _ in 0..60 {
            if self
                .context
                .memory(|memory| memory.has_focus(ids::control(id, "cell")))
            {
                return;
            }
            self.key(Key::Tab);
        }
        panic!("Tab does not reach {id}");
    }
}

#[test]
fn each_drag_of_flag_or_edge_is_one_gesture() {
    let mut page = TestPage::new();
    // Before the first report the threshold is Start level plus Proportion: -30 LUFS.
    let flag = page.layout.timeline.flag(-30.0).center();
    let up = page.layout.timeline.y(-30.0) - page.layout.timeline.y(-24.0);
    page.drag(flag, vec2(0.0, -up));
    // 6 LU of a range of 36, from -6 LU.
    assert_eq!(
        page.recorded(),
        "begin sib_prop, sib_prop 0.58, sib_prop 0.67, end sib_prop"
    );
    let line = egui::pos2(
        page.layout.timeline.plot.center().x,
        page.layout.timeline.y(-30.0),
    );
    page.drag(line, vec2(0.0, -up));
    assert_eq!(
        page.recorded(),
        "begin sib_prop, sib_prop 0.58, sib_prop 0.67, end sib_prop"
    );
    let edge = egui::pos2(
        page.layout.spectrum.x(4000.0),
        page.layout.spectrum.plot.center().y,
    );
    page.drag(edge, vec2(10.0, 0.0));
    let recorded = page.recorded();
    assert!(
        recorded.starts_with("begin sib_from, sib_from 0.") && recorded.ends_with("end sib_from"),
        "{recorded}"
    );
}

#[test]
fn a_click_on_the_timeline_freezes_it_without_a_gesture() {
    let mut page = TestPage::new();
    page.click(page.layout.timeline.plot.center_top() + vec2(0.0, 30.0));
    assert!(page.page.monitor.timeline.is_frozen());
    page.click(page.layout.timeline.plot.center_top() + vec2(0.0, 30.0));
    assert!(!page.page.monitor.timeline.is_frozen());
    assert_eq!(page.recorded(), "");
}

#[test]
fn a_value_is_typed_after_a_click() {
    let mut page = TestPage::new();
    let range = page.layout.cell("sib_range").unwrap();
    page.click(range.value.center());
    page.frame(vec![Event::Text("9 dB".to_owned())]);
    page.key(Key::Enter);
    assert_eq!(page.recorded(), "begin sib_range, sib_range 0.38, end sib_range");
    page.click(range.value.center());
    for wrong in ["nonsense", "99 dB", "-"] {
        page.frame(vec![Event::Text(wrong.to_owned())]);
        page.key(Key::Enter);
        let entry = page.page.text_entry.clone().unwrap();
        assert_eq!(entry.refusal.as_deref(), Some("0.0 dB to 24.0 dB"), "{wrong}");
        (0..wrong.len()).for_each(|_| page.key(Key::Backspace));
    }
    page.frame(vec![Event::Text("3".to_owned())]);
    page.key(Key::Escape);
    assert_eq!(page.recorded(), "", "invalid and cancelled text changes nothing");
    assert!(page.page.text_entry.is_none());
}

#[test]
fn a_double_click_on_a_value_resets_it() {
    let mut page = TestPage::new();
    let at = page.layout.cell("sib_range").unwrap().value.center();
    page.frame(vec![Event::PointerMoved(at)]);
    page.press(at, true);
    page.press(at, false);
    page.frame_after(0.02, vec![]);
    assert!(page.page.text_entry.is_some(), "the first click opens the field");
    page.press(at, true);
    page.press(at, false);
    page.frame_after(0.02, vec![]);
    assert!(page.page.text_entry.is_none());
}

#[test]
fn every_control_is_reached_and_set_by_keyboard() {
    let mut page = TestPage::new();
    page.tab_to("sib_prop");
    page.key(Key::ArrowUp);
    page.key(Key::ArrowLeft);
    page.key(Key::PageUp);
    assert_eq!(
        page.recorded(),
        "begin sib_prop, sib_prop 0.51, end sib_prop, begin sib_prop, sib_prop 0.49, end sib_prop, \
         begin sib_prop, sib_prop 0.60, end sib_prop"
    );
    page.key(Key::Enter);
    page.frame(vec![Event::Text("-9".to_owned())]);
    page.key(Key::Enter);
    assert_eq!(page.recorded(), "begin sib_prop, sib_prop 0.42, end sib_prop");
    for control in page.editor.params.clone().parameters() {
        page.tab_to(control.id());
    }
    page.key(Key::L);
    assert_eq!(page.recorded(), "begin listen, listen 0.50, end listen");
    page.frame(vec![Event::Text("L".to_owned())]);
    assert_eq!(
        page.recorded(),
        "begin listen, listen 0.50, end listen",
        "with Caps Lock"
    );
}

#[test]
fn the_wheel_changes_numbers_and_no_switch() {
    let mut page = TestPage::new();
    let mut turn_over = |id: &str| {
        let at = page.layout.cell(id).unwrap().area.center();
        page.frame(vec![Event::PointerMoved(at)]);
        page.frame(vec![Event::MouseWheel {
            unit: MouseWheelUnit::Line,
            delta: vec2(0.0, 1.0),
            modifiers: Modifiers::NONE,
            phase: egui::TouchPhase::Move,
            source: egui::MouseWheelSource::Unknown,
        }]);
        page.recorded()
    };
    assert_eq!(
        turn_over("out_gain"),
        "begin out_gain, out_gain 0.51, end out_gain"
    );
    for id in ["lev_auto", "bypass", "listen", "look"] {
        assert_eq!(turn_over(id), "", "{id}");
    }
}

#[test]
fn starting_points_and_choices_are_complete_gestures() {
    let mut page = TestPage::new();
    page.click(page.layout.button("start").unwrap().center());
    page.click(page.layout.start_menu(2)[0].center());
    let recorded = page.recorded();
    for id in ["sib_prop", "sib_range", "br_on", "br_prop", "br_range"] {
        assert!(
            recorded.contains(&format!("begin {id}, {id} ")),
            "{id}: {recorded}"
        );
    }
    assert_eq!(recorded.matches("begin").count(), 5, "{recorded}");
    let listen = page.layout.cell("listen").unwrap();
    page.click(listen.choice(2, 3).left_center() + vec2(8.0, 0.0));
    assert_eq!(page.recorded(), "begin listen, listen 1.00, end listen");
}

#[test]
fn the_plain_list_replaces_the_pictures() {
    let mut page = TestPage::new();
    page.click(page.layout.button("list").unwrap().center());
    assert!(page.page.shows_list);
    let row = page.layout.list_row(0);
    page.click(row.left_center() + vec2(20.0, 0.0));
    page.frame(vec![Event::Text("on".to_owned())]);
    page.key(Key::Enter);
    assert_eq!(page.recorded(), "begin lev_on, lev_on 1.00, end lev_on");
}

/// Digits of Noto Sans are 714/1000 em high (its OS/2 cap height).
const DIGIT_EM: f32 = 0.714;

#[test]
fn no_digit_is_lower_than_ten_pixels() {
    let mut page = TestPage::new();
    let mut digits = 0;
    let mut check = |page: &TestPage| {
        for (text, points) in page.texts() {
            if text.contains(|sign: char| sign.is_ascii_digit()) {
                digits += 1;
                assert!(points * DIGIT_EM >= 10.0, "{text:?} at {points} points");
            }
        }
    };
    for size in [FIRST_SIZE, vec2(560.0, 900.0)] {
        page.size = size;
        page.layout = Layout::new(size, true);
        page.frame(vec![]);
        check(&page);
        page.frame(vec![Event::PointerMoved(page.layout.timeline.plot.center())]);
        page.frame(vec![]);
        check(&page);
        page.frame(vec![Event::PointerMoved(page.layout.spectrum.plot.center())]);
        check(&page);
        for button in ["propose", "start", "zoom", "list", "list"] {
            page.click(page.layout.button(button).unwrap().center());
            page.frame(vec![]);
            check(&page);
            page.key(Key::Escape);
        }
    }
    assert!(digits > 200, "{digits} texts with digits");
}

#[test]
fn an_open_proposal_is_in_sight_in_a_small_window() {
    let mut page = TestPage::new();
    page.size = vec2(560.0, 400.0);
    page.frame(vec![]);
    page.key(Key::P);
    for _ in 0..5 {
        page.frame(vec![]);
    }
    let clipped = page.texts();
    assert!(clipped.iter().any(|(text, _)| text == "Cancel"), "{clipped:?}");
    let window = Rect::from_min_size(Pos2::ZERO, page.size);
    let cancel = page.shapes.iter().find_map(|clipped| match &clipped.shape {
        Shape::Text(text) if text.galley.job.text == "Cancel" => Some(text.visual_bounding_rect()),
        _ => None,
    });
    let cancel = cancel.unwrap();
    assert!(window.contains_rect(cancel), "{cancel:?}");
}
