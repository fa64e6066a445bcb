//! The field in which a value is typed.

use egui::{
    Align2, Area, Id, Key, Order, Rect, Sense, Stroke, StrokeKind, TextEdit, Ui, UiBuilder, pos2, vec2,
};

use super::ui_context::UiContext;
use super::{ids, palette, typeface};
use crate::params::Parameter;

/// Draws the field into `area` if the value of this control is being typed in this view; returns whether it is. Enter
/// sets a valid value. After any other text the value stays, the field stays open, and a note says what it takes.
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
    if let Some(refusal) = &entry.refusal {
        show_refusal(ui, area, refusal);
    }
    if enter {
        match control.read_in_range(&entry.text) {
            Ok(normalized) => context.gestures.set(control, normalized),
            Err(refusal) => {
                entry.refusal = Some(refusal);
                // Enter has taken the focus from the field.
                response.request_focus();
                return true;
            }
        }
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

/// Draws the note below the field, inside the window.
fn show_refusal(ui: &Ui, field: Rect, refusal: &str) {
    let colours = palette::of(ui.ctx());
    let text = format!("Takes {refusal}");
    let galley = ui
        .painter()
        .layout_no_wrap(text.clone(), typeface::text(), colours.warning);
    let (size, window) = (galley.size() + vec2(12.0, 6.0), ui.ctx().content_rect());
    let left = field.left().min(window.right() - size.x - 2.0).max(window.left());
    let below = field.bottom() + 2.0;
    let top = if below + size.y > window.bottom() {
        field.top() - size.y - 2.0
    } else {
        below
    };
    let note = Rect::from_min_size(pos2(left, top), size);
    Area::new(Id::unique("text refusal"))
        .order(Order::Tooltip)
        .fixed_pos(note.min)
        .interactable(false)
        .constrain(false)
        .show(ui.ctx(), |ui| {
            ui.allocate_rect(note, Sense::hover());
            ui.painter().rect_filled(note, 2.0, colours.surface);
            let edge = Stroke::new(1.0, colours.warning);
            ui.painter().rect_stroke(note, 2.0, edge, StrokeKind::Inside);
            ui.painter().text(
                note.center(),
                Align2::CENTER_CENTER,
                text,
                typeface::text(),
                colours.warning,
            );
        });
}
