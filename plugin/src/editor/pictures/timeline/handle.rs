//! The flag at the right end of the threshold line: drag, type or reset Proportion.

use egui::{Align2, CursorIcon, PointerButton, Rect, Response, Sense, Shape, Stroke, Ui, pos2};
use siskin_editor_layout::{BOTTOM_LUFS, TOP_LUFS, Timeline as Area};

use crate::editor::widgets::palette::Palette;
use crate::editor::widgets::ui_context::{TextEntry, UiContext};
use crate::editor::widgets::{control, ids, marks, text_field, typeface};
use crate::params::Parameter;

/// The parameter that the threshold line sets.
pub const PROPORTION: &str = "sib_prop";
/// Width of the flag's tip, points.
const TIP_WIDTH: f32 = 9.0;

/// Draws the flag and handles its input.
pub fn show(ui: &mut Ui, context: &mut UiContext<'_>, area: &Area, threshold_lufs: f32, colours: &Palette) {
    let Some(control) = context.control(PROPORTION) else {
        return;
    };
    let flag = area.flag(threshold_lufs);
    let id = ids::control(PROPORTION, "timeline");
    let response = ui.interact(area.handle, id, Sense::click_and_drag());
    if response.dragged_by(PointerButton::Primary) {
        drag(context, control, area, &response);
    }
    if response.hovered() {
        ui.ctx().set_cursor_icon(CursorIcon::ResizeVertical);
    }
    draw_flag(ui, flag, area.y(threshold_lufs), &response, colours);
    draw_name(ui, area, flag, colours);
    let value = flag.with_min_x(flag.left() + TIP_WIDTH);
    if !text_field::show(ui, context, control, "timeline", value) {
        let text = control.text(control.heard());
        let at = pos2(flag.right() - 6.0, flag.center().y);
        ui.painter().text(
            at,
            Align2::RIGHT_CENTER,
            text,
            typeface::strong(),
            colours.surface,
        );
        let on_flag = response.interact_pointer_pos().is_none_or(|at| flag.contains(at));
        if response.clicked() && on_flag {
            *context.text_entry = Some(TextEntry::new(PROPORTION, "timeline"));
        }
    }
    if response.has_focus() {
        marks::focus(ui.painter(), flag.expand(3.0));
    }
    marks::scroll_to_focused(ui, flag, &response);
    context.wheel_and_keys(ui, control, &response);
    control::reset_and_menu(context, control, &response);
    // Beside the controls below: the lanes and the tally show what the flag does.
    control::tip_below(&response, context, control, area.frame);
}

/// Moves the threshold with the pointer; up is more.
pub fn drag(context: &mut UiContext<'_>, control: &Parameter, area: &Area, response: &Response) {
    let up_lu = -area.lu_down(response.drag_delta().y);
    context.gestures.drag(control, up_lu / travel_lu(control));
}

/// Range of Proportion, LU, from the parameter's own texts.
fn travel_lu(control: &Parameter) -> f32 {
    let read = |normalized| crate::params::readout::read_level(&control.text(normalized));
    match (read(0.0), read(1.0)) {
        (Some(min), Some(max)) if max > min => max - min,
        _ => TOP_LUFS - BOTTOM_LUFS,
    }
}

fn draw_flag(ui: &Ui, flag: Rect, threshold_y: f32, response: &Response, colours: &Palette) {
    let back = flag.left() + TIP_WIDTH;
    let corners = vec![
        pos2(flag.left(), threshold_y),
        pos2(back, flag.top()),
        flag.right_top(),
        flag.right_bottom(),
        pos2(back, flag.bottom()),
    ];
    let active = response.hovered() || response.dragged();
    let fill = if active { colours.ink } else { colours.threshold };
    ui.painter()
        .add(Shape::convex_polygon(corners, fill, Stroke::NONE));
}

/// Draws the parameter's name above the flag, or below it at the top of the plot.
fn draw_name(ui: &Ui, area: &Area, flag: Rect, colours: &Palette) {
    let above = flag.top() - 14.0 > area.handle.top();
    let y = if above {
        flag.top() - 8.0
    } else {
        flag.bottom() + 8.0
    };
    ui.painter().text(
        pos2(flag.right() - 2.0, y),
        Align2::RIGHT_CENTER,
        "Proportion",
        typeface::small(),
        colours.threshold,
    );
}
