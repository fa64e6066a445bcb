//! One control: name, value, and a line with a tick at the value.
//!
//! The line is bold between default and value, so that changes are visible at a glance. A notch below it marks the
//! default, an open diamond the value after the host's modulation.

use egui::{
    Align2, CursorIcon, Painter, PointerButton, Rect, RectAlign, Response, Sense, Shape, Stroke, Tooltip, Ui,
    pos2, vec2,
};
use siskin_editor_layout::Cell;

use super::ui_context::{Menu, TextEntry, UiContext};
use super::{ids, marks, palette, text_field, tips, typeface};
use crate::params::Parameter;

/// Normalized values closer than this are equal.
const SAME: f32 = 1e-4;

/// How a control is labelled.
#[derive(Debug, Clone, Copy)]
pub struct Label<'a> {
    /// Name beside the value.
    pub name: &'a str,
    /// Whether the control's stage is on.
    pub live: bool,
}

/// Draws a control and handles its input.
pub fn show(ui: &mut Ui, context: &mut UiContext<'_>, control: &Parameter, cell: &Cell, label: Label<'_>) {
    let colours = palette::of(ui.ctx());
    let response = ui.interact(
        cell.area,
        ids::control(control.id(), "cell"),
        Sense::click_and_drag(),
    );
    marks::highlight(ui, cell.area, &response);
    marks::indication(ui.painter(), cell.area, &context.indication(control));
    ui.painter().text(
        cell.name.left_center(),
        Align2::LEFT_CENTER,
        label.name,
        typeface::text(),
        colours.text(label.live),
    );
    match control.steps() {
        Some(_) => {
            draw_choices(ui.painter(), control, cell, label.live);
            choose(context, control, cell, &response);
        }
        None => number(ui, context, control, cell, label.live, &response),
    }
    context.wheel_and_keys(ui, control, &response);
    reset_and_menu(context, control, &response);
    tip(response, context, control);
}

/// A double-click resets, a right click opens the menu.
pub fn reset_and_menu(context: &mut UiContext<'_>, control: &Parameter, response: &Response) {
    if response.double_clicked_by(PointerButton::Primary) {
        context.gestures.reset(control);
        // Where both clicks fall into one frame, the first has just opened the field.
        *context.text_entry = None;
    }
    if response.secondary_clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        *context.menu = Some(Menu::Control(control.id(), at));
    }
}

/// Shows the tooltip, with the modulated value where the host modulates and what else the host says about the control.
pub fn tip(response: Response, context: &UiContext<'_>, control: &Parameter) {
    response.on_hover_text(tip_text(context, control));
}

/// Shows the tooltip below `picture`, at the height of the widget's left edge, so that it covers nothing of the picture.
pub fn tip_below(response: &Response, context: &UiContext<'_>, control: &Parameter, picture: Rect) {
    let mut tip = Tooltip::for_enabled(response);
    let anchor = picture.with_min_x(response.rect.left());
    tip.popup = tip
        .popup
        .anchor(anchor)
        .align(RectAlign::BOTTOM_START)
        .align_alternatives(&[RectAlign::BOTTOM_END, RectAlign::TOP_END]);
    tip.show(|ui| ui.label(tip_text(context, control)));
}

fn tip_text(context: &UiContext<'_>, control: &Parameter) -> String {
    let mut text = tips::of(control.id()).to_owned();
    if (control.heard() - control.base()).abs() > SAME {
        let [set, modulated] = [control.base(), control.heard()].map(|value| control.text(value));
        text += &format!("\nSet to {set}, modulated by the host to {modulated}.");
    }
    let hint = context.indication(control).hint();
    if !hint.is_empty() {
        text += &format!("\n{hint}");
    }
    text
}

fn number(
    ui: &mut Ui,
    context: &mut UiContext<'_>,
    control: &Parameter,
    cell: &Cell,
    live: bool,
    response: &Response,
) {
    let colours = palette::of(ui.ctx());
    drag(ui, context, control, response, cell.track.width());
    if !text_field::show(ui, context, control, "cell", cell.value) {
        let text = control.text(control.heard());
        ui.painter().text(
            cell.value.right_center(),
            Align2::RIGHT_CENTER,
            text,
            typeface::strong(),
            colours.text(live),
        );
        let clicked_at = response.interact_pointer_pos();
        if response.clicked() && clicked_at.is_none_or(|at| cell.value.contains(at)) {
            *context.text_entry = Some(TextEntry::new(control.id(), "cell"));
        }
    }
    draw_track(ui.painter(), cell.track, control, live);
}

/// Changes the value by the pointer's movement; the whole drag is one gesture.
fn drag(ui: &Ui, context: &mut UiContext<'_>, control: &Parameter, response: &Response, width: f32) {
    if response.dragged_by(PointerButton::Primary) {
        let along = response.drag_delta().x / width.max(1.0);
        context.gestures.drag(control, along);
    }
    if response.hovered() || context.gestures.is_dragging(control.id()) {
        ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
    }
}

fn draw_track(painter: &Painter, track: Rect, control: &Parameter, live: bool) {
    let colours = palette::of(painter.ctx());
    let ink = if live { colours.ink } else { colours.edge };
    let y = track.top() + 5.0;
    let x = |normalized: f32| track.left() + track.width() * normalized.clamp(0.0, 1.0);
    let (base, default, modulated) = (x(control.base()), x(control.default()), x(control.heard()));
    painter.hline(track.x_range(), y, Stroke::new(1.0, colours.edge));
    painter.line_segment([pos2(default, y), pos2(base, y)], Stroke::new(3.0, ink));
    painter.line_segment(
        [pos2(default, y + 2.0), pos2(default, y + 6.0)],
        Stroke::new(1.0, colours.edge),
    );
    painter.rect_filled(Rect::from_center_size(pos2(base, y), vec2(4.0, 11.0)), 1.0, ink);
    if (control.heard() - control.base()).abs() > SAME {
        painter.add(Shape::convex_polygon(
            marks::diamond(pos2(modulated, y), 5.0),
            colours.surface,
            Stroke::new(1.5, colours.threshold),
        ));
    }
}

/// Index of the current choice of a stepped control.
fn current_step(control: &Parameter, steps: usize) -> usize {
    (control.heard() * steps as f32).round() as usize
}

/// Draws all choices of a stepped control.
fn draw_choices(painter: &Painter, control: &Parameter, cell: &Cell, live: bool) {
    let steps = control.steps().unwrap_or(1);
    let current = current_step(control, steps);
    for step in 0..=steps {
        let area = cell.choice(step, steps + 1);
        let text = control.text(step as f32 / steps as f32);
        marks::choice(painter, area, &text, step == current, live);
    }
}

/// A click picks the choice under the pointer; a key press picks the next one and wraps around.
fn choose(context: &mut UiContext<'_>, control: &Parameter, cell: &Cell, response: &Response) {
    if !response.clicked() {
        return;
    }
    let steps = control.steps().unwrap_or(1);
    let picked = match response.interact_pointer_pos() {
        Some(at) => (0..=steps).find(|&step| cell.choice(step, steps + 1).contains(at)),
        None => Some((current_step(control, steps) + 1) % (steps + 1)),
    };
    if let Some(step) = picked {
        context.gestures.set(control, step as f32 / steps as f32);
    }
}
