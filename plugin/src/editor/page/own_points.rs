//! A person's own starting points: read when the menu opens, kept under a name that is typed in a panel.

use egui::{Area, Id, Key, Order, Rect, Sense, Stroke, StrokeKind, TextEdit, Ui, vec2};
use siskin_editor_layout::Layout;
use siskin_presets::Own;

use crate::editor::model::chosen::Chosen;
use crate::editor::model::compare::current_values;
use crate::editor::model::context::EditorContext;
use crate::editor::widgets::{palette, typeface};
use crate::params::own_settings;
use crate::params::starting_points::EXCLUDED;

/// The most that the menu shows.
const MOST_SHOWN: usize = 16;
/// What the panel says while nothing is wrong.
const HINT: &str = "Enter keeps it where hosts find it, Escape does not.";

/// The own starting points of an open window.
#[derive(Debug, Default)]
pub struct OwnPoints {
    /// Those of the open menu.
    pub listed: Vec<Own>,
    is_listed: bool,
    panel: Option<Panel>,
}

/// The panel in which a name is typed.
#[derive(Debug, Default)]
struct Panel {
    name: String,
    has_focus: bool,
    /// What is wrong.
    refusal: Option<String>,
    /// It only says what is wrong.
    takes_no_name: bool,
}

impl OwnPoints {
    /// Reads the names when the menu has just opened.
    pub fn read(&mut self, plug_in: &str, menu_is_open: bool) {
        if menu_is_open && !self.is_listed {
            self.listed = siskin_presets::list(plug_in);
            self.listed.truncate(MOST_SHOWN);
        }
        self.is_listed = menu_is_open;
    }

    /// Opens the panel.
    pub fn ask_for_name(&mut self) {
        self.panel = Some(Panel::default());
    }

    /// Opens the panel with what went wrong when a preset was read.
    pub fn say(&mut self, wrong: String) {
        self.panel = Some(Panel {
            refusal: Some(wrong),
            takes_no_name: true,
            ..Panel::default()
        });
    }

    /// Whether a name is being typed.
    pub fn is_typing(&self) -> bool {
        self.panel.is_some()
    }

    /// Draws the panel, if it is open. Enter keeps the settings; where that fails, the panel stays and says why.
    pub fn show(&mut self, ui: &Ui, layout: &Layout, editor: &EditorContext) {
        let Some(panel) = &mut self.panel else {
            return;
        };
        let answer = panel.show(ui, layout.keep_panel());
        let done = match answer {
            Some(Answer::Keep) => keep(panel, editor),
            Some(Answer::Cancel) => true,
            None => false,
        };
        if done {
            self.panel = None;
        }
    }
}

/// What a person answers.
enum Answer {
    Keep,
    Cancel,
}

/// Keeps the present settings; returns whether that worked.
fn keep(panel: &mut Panel, editor: &EditorContext) -> bool {
    let is_taken = |name: &str| {
        let mut points = editor.starting_points.iter();
        points.any(|point| point.name.eq_ignore_ascii_case(name.trim()))
    };
    if is_taken(&panel.name) {
        panel.refuse(siskin_presets::KeepError::InUse.to_string());
        return false;
    }
    let Some(state) = own_settings::to_json(&editor.params) else {
        panel.refuse("Not kept: the settings could not be written down".to_owned());
        return false;
    };
    match siskin_presets::keep(editor.name, &panel.name, &state) {
        Ok(own) => {
            let mut values = current_values(editor.params.parameters());
            values.retain(|id, _| !EXCLUDED.contains(id));
            let name = own.name;
            editor.session.choose(Chosen { name, values });
            true
        }
        Err(error) => {
            panel.refuse(error.to_string());
            false
        }
    }
}

impl Panel {
    fn refuse(&mut self, refusal: String) {
        self.refusal = Some(refusal);
        self.has_focus = false;
    }

    fn show(&mut self, ui: &Ui, area: Rect) -> Option<Answer> {
        let shown = Area::new(Id::unique("keep panel"))
            .order(Order::Foreground)
            .fixed_pos(area.min)
            .constrain(false)
            .show(ui.ctx(), |ui| {
                ui.allocate_rect(area, Sense::click());
                self.draw(ui, area)
            });
        shown.inner
    }

    fn draw(&mut self, ui: &mut Ui, area: Rect) -> Option<Answer> {
        let colours = palette::of(ui.ctx());
        ui.painter().rect_filled(area, 3.0, colours.surface);
        let edge = Stroke::new(1.5, colours.ink);
        ui.painter().rect_stroke(area, 3.0, edge, StrokeKind::Inside);
        let inside = area.shrink2(vec2(10.0, 8.0));
        let line = |text: &str, y: f32, ink| {
            let text = ui
                .painter()
                .layout(text.to_owned(), typeface::text(), ink, inside.width());
            ui.painter().galley(egui::pos2(inside.left(), y), text, ink);
        };
        let answered = ui.input(|input| input.key_pressed(Key::Escape) || input.pointer.any_click());
        if self.takes_no_name {
            line("Nothing has changed.", inside.top(), colours.ink);
            line(
                self.refusal.as_deref().unwrap_or_default(),
                inside.center().y,
                colours.warning,
            );
            let was_drawn = std::mem::replace(&mut self.has_focus, true);
            return (answered && was_drawn).then_some(Answer::Cancel);
        }
        line("Keep the present settings as", inside.top(), colours.ink);
        let field = Rect::from_min_size(inside.left_top() + vec2(0.0, 22.0), vec2(inside.width(), 22.0));
        let (note, ink) = match &self.refusal {
            Some(refusal) => (refusal.as_str(), colours.warning),
            None => (HINT, colours.secondary_ink),
        };
        line(note, field.bottom() + 5.0, ink);
        let edit = TextEdit::singleline(&mut self.name)
            .id(Id::unique("keep name"))
            .margin(egui::Margin::symmetric(4, 2))
            .font(typeface::text());
        let response = ui.put(field, edit);
        let (enter, escape) =
            ui.input(|input| (input.key_pressed(Key::Enter), input.key_pressed(Key::Escape)));
        if !std::mem::replace(&mut self.has_focus, true) {
            response.request_focus();
            return None;
        }
        if enter {
            return Some(Answer::Keep);
        }
        (escape || response.lost_focus()).then_some(Answer::Cancel)
    }
}
