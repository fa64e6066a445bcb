//! The field in which a value is typed.

use egui::{Id, Key, Rect, TextEdit, Ui, UiBuilder};

use super::ui_context::UiContext;
use super::{ids, typeface};
use crate::params::Parameter;

/// Draws the field into `area` if the value of this control is being typed in this view; returns whether it is. Enter
/// sets a valid value; text that cannot be read changes nothing.
pub fn show(ui: &mut Ui, context: &mut UiContext<'_>, control: &Parameter, view: &str, area: Rect) -> bool {
    let Some(entry) = context
        .text_entry
        .as_mut()
        .filter(|entry| entry.is_for(control.id(), view))
    else {
        return false;
    };
    let edit = TextEdit::singleline(&mut entry.text)
        .hint_text(control.text(control.base()))
        .id(Id::unique("text entry"))
        .margin(egui::Margin::symmetric(3, 0))
        .font(typeface::text());
    // A child, so that the field covers the value without moving anything.
    let response = ui.new_child(UiBuilder::new().max_rect(area)).put(area, edit);
    if std::mem::take(&mut entry.needs_focus) {
        response.request_focus();
        return true;
    }
    if response.double_clicked() && entry.text.is_empty() {
        // The first click opened the field; the second makes it a double-click, which resets.
        context.gestures.reset(control);
        *context.text_entry = None;
        return true;
    }
    let (enter, escape) = ui.input(|input| (input.key_pressed(Key::Enter), input.key_pressed(Key::Escape)));
    let value = control.read(&entry.text);
    if enter && let Some(normalized) = value {
        context.gestures.set(control, normalized);
    }
    if enter || escape || response.lost_focus() {
        *context.text_entry = None;
    }
    if enter || escape {
        // Focus returns to the control; after a click elsewhere it is already there.
        ui.memory_mut(|memory| memory.request_focus(ids::control(control.id(), view)));
    }
    true
}
