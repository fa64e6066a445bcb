//! One control: its name, its value, and a ruled line with a tick where it stands.
//!
//! The line is drawn strong from the default to the tick, so that what was changed is seen at a glance; a small notch
//! under it marks the default, and an open diamond where the host's modulation has moved it.

use egui::{
    Align2, CursorIcon, Id, Painter, PointerButton, Rect, Response, Sense, Shape, Stroke, Ui, pos2, vec2,
};

use super::desk::{Desk, Menu, fine};
use super::layout::Cell;
use super::typing::{self, Typing};
use super::{marks, palette, tips, typeface};
use crate::params::Control;

/// Closer than this two values are one.
const SAME: f32 = 1e-4;

/// The id by which a control has the keyboard, where it is shown.
pub fn id(control: &str, place: &str) -> Id {
    Id::unique((control, place))
}

/// Draws the control at `cell` and does what a person does with it. `live` is false where its stage is off.
pub fn cell(
    ui: &mut Ui,
    desk: &mut Desk<'_>,
    control: &Control<'_>,
    cell: &Cell,
    (name, live): (&str, bool),
) {
    let response = ui.interact(cell.area, id(control.id, "cell"), Sense::click_and_drag());
    marks::ground(ui, cell.area, &response);
    let painter = ui.painter().clone();
    painter.text(
        cell.name.left_center(),
        Align2::LEFT_CENTER,
        name,
        typeface::text(),
        typeface::ink(live),
    );
    match control.knob.steps() {
        Some(steps) => choices(&painter, desk, control, (cell, steps, live), &response),
        None => number(ui, desk, control, (cell, live), &response),
    }
    desk.wheel_and_keys(ui, control, &response);
    menu(desk, control, &response);
    tip(response, control);
}

/// Double-click resets, a right click opens the menu.
pub fn menu(desk: &mut Desk<'_>, control: &Control<'_>, response: &Response) {
    if response.double_clicked_by(PointerButton::Primary) {
        desk.hand.reset(control);
    }
    if response.secondary_clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        *desk.menu = Some(Menu::Control(control.id, at));
    }
}

/// What it is for, in plain words, and what the host makes of it.
pub fn tip(response: Response, control: &Control<'_>) {
    let knob = control.knob;
    let mut words = tips::of(control.id).to_owned();
    if (knob.heard() - knob.base()).abs() > SAME {
        let [set, heard] = [knob.base(), knob.heard()].map(|value| knob.text(value));
        words += &format!("\nSet to {set}; the host modulates it to {heard}.");
    }
    response.on_hover_text(words);
}

fn number(
    ui: &mut Ui,
    desk: &mut Desk<'_>,
    control: &Control<'_>,
    (cell, live): (&Cell, bool),
    response: &Response,
) {
    drag(ui, desk, control, response, cell.track.width());
    if !typing::field(ui, desk, control, "cell", cell.value) {
        let text = control.knob.text(control.knob.heard());
        ui.painter().text(
            cell.value.right_center(),
            Align2::RIGHT_CENTER,
            text,
            typeface::strong(),
            typeface::ink(live),
        );
        let by_pointer = response.interact_pointer_pos();
        let typed = response.clicked() && by_pointer.is_none_or(|at| cell.value.contains(at));
        if typed {
            *desk.typing = Some(Typing::of(control.id, "cell"));
        }
    }
    line(ui.painter(), cell.track, control, live);
}

/// A drag moves the value by as much as the pointer; the whole drag is one gesture.
fn drag(ui: &Ui, desk: &mut Desk<'_>, control: &Control<'_>, response: &Response, width: f32) {
    if response.dragged_by(PointerButton::Primary) {
        let along = response.drag_delta().x / width.max(1.0) * fine(ui);
        desk.hand.drag(control, along);
    }
    if response.hovered() || desk.hand.holds(control.id) {
        ui.ctx().set_cursor_icon(CursorIcon::ResizeHorizontal);
    }
}

fn line(painter: &Painter, track: Rect, control: &Control<'_>, live: bool) {
    let knob = control.knob;
    let ink = if live { palette::INK } else { palette::EDGE };
    let y = track.top() + 5.0;
    let x = |normalized: f32| track.left() + track.width() * normalized.clamp(0.0, 1.0);
    let (base, default, heard) = (x(knob.base()), x(knob.default()), x(knob.heard()));
    painter.hline(track.x_range(), y, Stroke::new(1.0, palette::EDGE));
    painter.line_segment([pos2(default, y), pos2(base, y)], Stroke::new(3.0, ink));
    painter.line_segment(
        [pos2(default, y + 2.0), pos2(default, y + 6.0)],
        Stroke::new(1.0, palette::EDGE),
    );
    painter.rect_filled(Rect::from_center_size(pos2(base, y), vec2(4.0, 11.0)), 1.0, ink);
    if (knob.heard() - knob.base()).abs() > SAME {
        painter.add(Shape::convex_polygon(
            marks::diamond(pos2(heard, y), 5.0),
            palette::SHEET,
            Stroke::new(1.5, palette::THRESHOLD),
        ));
    }
}

/// A parameter with few values: all of them to see, one click to choose.
fn choices(
    painter: &Painter,
    desk: &mut Desk<'_>,
    control: &Control<'_>,
    (cell, steps, live): (&Cell, usize, bool),
    response: &Response,
) {
    let knob = control.knob;
    let chosen = (knob.heard() * steps as f32).round() as usize;
    for step in 0..=steps {
        let area = cell.choice(step, steps + 1);
        marks::choice(
            painter,
            area,
            &knob.text(step as f32 / steps as f32),
            (step == chosen, live),
        );
    }
    if !response.clicked() {
        return;
    }
    match response.interact_pointer_pos() {
        Some(at) => {
            let picked = (0..=steps).find(|&step| cell.choice(step, steps + 1).contains(at));
            if let Some(step) = picked {
                desk.hand.set(control, step as f32 / steps as f32);
            }
        }
        // By the keyboard: the next one, and around again.
        None => desk
            .hand
            .set(control, ((chosen + 1) % (steps + 1)) as f32 / steps as f32),
    }
}
