//! A button: text in a frame.

use egui::{Align2, Id, Rect, Sense, Stroke, StrokeKind, Ui};

use super::{marks, palette, tips, typeface};

/// How a button is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ButtonState {
    /// Can be pressed.
    Normal,
    /// Selected, or its function is active.
    Selected,
    /// Has no effect now.
    Disabled,
}

/// Draws a button; returns whether it was pressed by pointer or keyboard.
pub fn button(ui: &Ui, area: Rect, (name, text): (&str, &str), state: ButtonState) -> bool {
    let colours = palette::of(ui.ctx());
    let response = ui.interact(area, Id::unique(("button", name)), Sense::click());
    let (fill, ink) = match state {
        ButtonState::Selected => (colours.ink, colours.paper),
        ButtonState::Normal if response.hovered() => (colours.hover, colours.ink),
        ButtonState::Normal => (colours.surface, colours.ink),
        ButtonState::Disabled => (colours.paper, colours.secondary_ink),
    };
    let painter = ui.painter();
    painter.rect_filled(area, 3.0, fill);
    painter.rect_stroke(area, 3.0, Stroke::new(1.0, colours.edge), StrokeKind::Inside);
    let font = typeface::small_without_digits(text);
    let text = typeface::one_line(painter, text, font, ink, area.width() - 6.0);
    let at = Align2::CENTER_CENTER.anchor_size(area.center(), text.size());
    painter.galley(at.min, text, ink);
    if response.has_focus() {
        marks::focus(painter, area.expand(3.0));
    }
    marks::scroll_to_focused(ui, area, &response);
    let pressed = response.clicked();
    response.on_hover_text(tips::for_element(name));
    pressed
}
