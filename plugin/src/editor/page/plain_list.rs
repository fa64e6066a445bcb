//! The plain list: every parameter with id, value, default and range.

use egui::{Align2, Pos2, Sense, Ui, pos2};
use siskin_editor_layout::Layout;

use crate::editor::widgets::ui_context::{Menu, TextEntry, UiContext};
use crate::editor::widgets::{control, ids, marks, palette, text_field, typeface};
use crate::params::Parameter;

/// Left edges of the columns, points: name, id, value, default, range.
const COLUMNS: [f32; 5] = [6.0, 190.0, 280.0, 400.0, 490.0];
const VALUE_WIDTH: f32 = 110.0;

/// Draws the list.
pub fn show(ui: &mut Ui, context: &mut UiContext<'_>, layout: &Layout) {
    let head = layout.list.left_top();
    for (left, word) in COLUMNS
        .iter()
        .zip(["Parameter", "Id", "Value", "Default", "Range"])
    {
        text(ui, head + egui::vec2(*left, 10.0), word, typeface::small());
    }
    for (index, control) in context.controls.iter().enumerate() {
        row(ui, context, control, layout, index);
    }
}

fn text(ui: &Ui, at: Pos2, text: &str, font: egui::FontId) {
    let colours = palette::of(ui.ctx());
    ui.painter()
        .text(at, Align2::LEFT_CENTER, text, font, colours.ink);
}

fn row(ui: &mut Ui, context: &mut UiContext<'_>, control: &Parameter, layout: &Layout, index: usize) {
    let area = layout.list_row(index);
    let response = ui.interact(area, ids::control(control.id(), "list"), Sense::click());
    marks::highlight(ui, area, &response);
    marks::indication(ui.painter(), area, &context.indication(control));
    let at = |column: usize| pos2(area.left() + COLUMNS[column], area.center().y);

    text(ui, at(0), control.spec().name, typeface::text());
    text(ui, at(1), control.id(), typeface::text());
    text(ui, at(3), &control.text(control.default()), typeface::text());
    text(ui, at(4), &range(control), typeface::text());
    let value = area
        .with_min_x(at(2).x - 3.0)
        .with_max_x(at(2).x - 3.0 + VALUE_WIDTH);
    if !text_field::show(ui, context, control, "list", value) {
        text(ui, at(2), &control.text(control.heard()), typeface::strong());
        if response.clicked() {
            *context.text_entry = Some(TextEntry::new(control.id(), "list"));
        }
    }
    context.wheel_and_keys(ui, control, &response);
    if response.secondary_clicked()
        && let Some(pointer) = response.interact_pointer_pos()
    {
        *context.menu = Some(Menu::Control(control.id(), pointer));
    }
    control::tip(response, context, control);
}

/// Every choice, or both ends of a number.
fn range(control: &Parameter) -> String {
    match control.steps() {
        Some(steps) => {
            let choices = (0..=steps).map(|step| control.text(step as f32 / steps as f32));
            choices.collect::<Vec<_>>().join(", ")
        }
        None => format!("{} to {}", control.text(0.0), control.text(1.0)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kind::Following;
    use crate::params::InsertParams;

    #[test]
    fn the_range_lists_every_choice_or_both_ends() {
        let params = InsertParams::of::<Following>();
        let range = |id: &str| range(params.parameter(id).unwrap());
        assert_eq!(range("listen"), "Output, Removed, Detector");
        assert_eq!(range("bypass"), "off, on");
        assert_eq!(range("sib_prop"), "-24.0 LU to 12.0 LU");
    }
}
