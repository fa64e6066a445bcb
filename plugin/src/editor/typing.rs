//! A value that is being typed.

use egui::{Id, Key, Rect, TextEdit, Ui, UiBuilder};

use super::desk::Desk;
use super::typeface;
use crate::params::Control;

/// Which control's value is typed, where, and what stands there so far.
#[derive(Debug, Clone, PartialEq)]
pub struct Typing {
    id: &'static str,
    place: &'static str,
    text: String,
    fresh: bool,
}

impl Typing {
    /// An empty field for a control, at one of the places where it is shown.
    pub fn of(id: &'static str, place: &'static str) -> Self {
        Self {
            id,
            place,
            text: String::new(),
            fresh: true,
        }
    }

    fn is_for(&self, id: &str, place: &str) -> bool {
        self.id == id && self.place == place
    }
}

/// Draws the field into `area`, if this is what is being typed; says whether it is. Enter takes what can be read; what
/// cannot changes nothing.
pub fn field(ui: &mut Ui, desk: &mut Desk<'_>, control: &Control<'_>, place: &str, area: Rect) -> bool {
    let Some(typing) = desk
        .typing
        .as_mut()
        .filter(|typing| typing.is_for(control.id, place))
    else {
        return false;
    };
    let entry = TextEdit::singleline(&mut typing.text)
        .hint_text(control.knob.text(control.knob.base()))
        .id(Id::unique("typing"))
        .margin(egui::Margin::symmetric(3, 0))
        .font(typeface::text());
    // A child, so that the field lies over its place and moves nothing.
    let response = ui.new_child(UiBuilder::new().max_rect(area)).put(area, entry);
    if std::mem::take(&mut typing.fresh) {
        response.request_focus();
        return true;
    }
    if response.double_clicked() && typing.text.is_empty() {
        // The first click has opened the field; the second says that the default was meant.
        desk.hand.reset(control);
        *desk.typing = None;
        return true;
    }
    let (enter, escape) = ui.input(|input| (input.key_pressed(Key::Enter), input.key_pressed(Key::Escape)));
    let text = typing.text.clone();
    if enter && let Some(normalized) = control.knob.read(&text) {
        desk.hand.set(control, normalized);
    }
    if enter || escape || response.lost_focus() {
        *desk.typing = None;
    }
    if enter || escape {
        // The keyboard goes on from here; a click elsewhere has taken it along.
        ui.memory_mut(|memory| memory.request_focus(super::cell::id(control.id, place)));
    }
    true
}
