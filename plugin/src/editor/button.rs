//! A button: a word in a frame.

use egui::{Align2, Id, Rect, Sense, Stroke, StrokeKind, Ui};

use super::{marks, palette, tips, typeface};

/// How a button stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// To be pressed.
    Up,
    /// Chosen, or at work.
    Chosen,
    /// Nothing to do.
    Idle,
}

/// Draws a button; says whether it was pressed, by the pointer or by the keyboard.
pub fn button(ui: &Ui, area: Rect, (name, text): (&str, &str), stands: Stands) -> bool {
    let response = ui.interact(area, Id::unique(("button", name)), Sense::click());
    let (fill, ink) = match stands {
        Stands::Chosen => (palette::INK, palette::PAPER),
        Stands::Up if response.hovered() => (palette::SHADE, palette::INK),
        Stands::Up => (palette::SHEET, palette::INK),
        Stands::Idle => (palette::PAPER, palette::FAINT),
    };
    let painter = ui.painter();
    painter.rect_filled(area, 3.0, fill);
    painter.rect_stroke(area, 3.0, Stroke::new(1.0, palette::EDGE), StrokeKind::Inside);
    painter.text(area.center(), Align2::CENTER_CENTER, text, typeface::text(), ink);
    if response.has_focus() {
        marks::focus(painter, area.expand(3.0));
    }
    marks::bring_into_view(ui, area, &response);
    let pressed = response.clicked();
    response.on_hover_text(tips::of_button(name));
    pressed
}
