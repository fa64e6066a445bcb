//! Small shapes that are drawn in several places.

use egui::{
    Align2, Color32, FontId, Painter, Pos2, Rect, Response, Shape, Stroke, StrokeKind, Ui, Vec2, pos2, vec2,
};

use super::mesh::BoxMesh;
use super::{palette, typeface};
use crate::editor::model::indications::{Automation, Indication};

/// Hover background and focus frame of a control.
pub fn highlight(ui: &Ui, area: Rect, response: &Response) {
    let colours = palette::of(ui.ctx());
    let around = area.expand2(vec2(4.0, 0.0));
    if response.hovered() || response.dragged() {
        ui.painter().rect_filled(around, 2.0, colours.hover);
    }
    if response.has_focus() {
        focus(ui.painter(), around);
    }
    scroll_to_focused(ui, around, response);
}

/// Scrolls to a widget that has just received keyboard focus.
pub fn scroll_to_focused(ui: &Ui, area: Rect, response: &Response) {
    if response.gained_focus() {
        ui.scroll_to_rect(area, None);
    }
}

/// Frame of a picture.
pub fn edge(painter: &Painter, picture: Rect) {
    let colours = palette::of(painter.ctx());
    let stroke = Stroke::new(1.0, colours.edge);
    painter.rect_stroke(picture, 3.0, stroke, StrokeKind::Inside);
}

/// Frame of the widget with keyboard focus.
pub fn focus(painter: &Painter, area: Rect) {
    let colours = palette::of(painter.ctx());
    painter.rect_stroke(area, 2.0, Stroke::new(2.0, colours.focus), StrokeKind::Inside);
}

/// One of several choices; the selected one is bold and underlined.
pub fn choice(painter: &Painter, area: Rect, text: &str, selected: bool, live: bool) {
    let colours = palette::of(painter.ctx());
    let (font, ink) = if selected {
        (typeface::strong(), colours.text(live))
    } else {
        (typeface::text(), colours.secondary_ink)
    };
    // A word that needs more room than there is may be smaller; a number may not.
    let width = painter
        .layout_no_wrap(text.to_owned(), font.clone(), ink)
        .size()
        .x;
    let font = if width > area.width() - 4.0 {
        let size = typeface::small_without_digits(text).size;
        FontId::new(size, font.family)
    } else {
        font
    };
    let drawn = painter.text(area.left_center(), Align2::LEFT_CENTER, text, font, ink);
    if selected {
        let y = area.bottom() + 0.5;
        painter.hline(drawn.x_range(), y, Stroke::new(1.5, ink));
    }
}

/// What the host says about a control, in the margin left of it: a bar for automation, hollow where it rests, solid where it
/// plays, with a point towards the control where it is written, broken where a change by hand holds it off; below it a ring
/// for a controller.
pub fn indication(painter: &Painter, area: Rect, indication: &Indication) {
    const LEFT: f32 = 10.0;
    const SIZE: Vec2 = vec2(4.0, 12.0);
    let bar = Rect::from_min_size(pos2(area.left() - LEFT, area.top() + 3.0), SIZE);
    let ink = palette::of(painter.ctx()).ink;
    match indication.automation {
        Automation::None => {}
        Automation::Present => {
            painter.rect_stroke(bar, 0.0, Stroke::new(1.0, ink), StrokeKind::Inside);
        }
        Automation::Playing => {
            painter.rect_filled(bar, 0.0, ink);
        }
        Automation::Recording => {
            painter.rect_filled(bar, 0.0, ink);
            let (x, y) = (bar.right(), bar.center().y);
            let point = vec![pos2(x, y - 4.0), pos2(x + 4.0, y), pos2(x, y + 4.0)];
            painter.add(Shape::convex_polygon(point, ink, Stroke::NONE));
        }
        Automation::Overridden => {
            let (upper, lower) = bar.split_top_bottom_at_fraction(0.5);
            painter.rect_filled(upper.with_max_y(upper.bottom() - 1.5), 0.0, ink);
            painter.rect_filled(
                lower.with_min_y(lower.top() + 1.5).translate(vec2(2.0, 0.0)),
                0.0,
                ink,
            );
        }
    }
    if indication.controller.is_some() {
        let centre = pos2(bar.center().x, bar.bottom() + 5.0);
        painter.circle_stroke(centre, 2.5, Stroke::new(1.5, ink));
    }
}

/// The colour of the host's track, in the margin left of the title.
pub fn track(painter: &Painter, title: Rect, colour: Color32) {
    let bar = Rect::from_min_size(
        title.left_top() + vec2(-8.0, 5.0),
        vec2(4.0, title.height() - 10.0),
    );
    painter.rect(
        bar,
        1.0,
        colour,
        Stroke::new(1.0, palette::of(painter.ctx()).edge),
        StrokeKind::Outside,
    );
}

/// Corners of a diamond.
pub fn diamond(centre: Pos2, radius: f32) -> Vec<Pos2> {
    [(0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)]
        .map(|(x, y)| centre + radius * vec2(x, y))
        .to_vec()
}

/// Corners of a triangle that points up or down.
pub fn triangle(centre: Pos2, radius: f32, up: bool) -> Vec<Pos2> {
    let tip = if up { -radius } else { radius };
    vec![
        centre + vec2(0.0, tip),
        centre + vec2(radius, -tip * 0.8),
        centre + vec2(-radius, -tip * 0.8),
    ]
}

/// Mark left of a warning: a triangle that points up, so that it does not depend on colour.
pub fn warning(painter: &Painter, centre: Pos2) {
    let colours = palette::of(painter.ctx());
    painter.add(Shape::convex_polygon(
        triangle(centre, 5.0, true),
        colours.warning,
        Stroke::NONE,
    ));
}

/// Mark left of a cue: the same triangle, open.
pub fn cue(painter: &Painter, centre: Pos2) {
    let colours = palette::of(painter.ctx());
    painter.add(Shape::closed_line(
        triangle(centre, 4.5, true),
        Stroke::new(1.2, colours.ink),
    ));
}

/// A tab at the lower edge of a window whose page goes on below.
pub fn more_below(painter: &Painter, window: Rect) {
    let colours = palette::of(painter.ctx());
    let tab = siskin_editor_layout::more_below(window);
    let edge = Stroke::new(1.0, colours.edge);
    painter.rect(tab, 2.0, colours.surface, edge, StrokeKind::Inside);
    let at = tab.left_center() + vec2(10.0, 0.0);
    painter.add(Shape::convex_polygon(
        triangle(at, 4.0, false),
        colours.ink,
        Stroke::NONE,
    ));
    let text = tab.left_center() + vec2(20.0, 0.0);
    painter.text(
        text,
        Align2::LEFT_CENTER,
        "more below",
        typeface::small(),
        colours.ink,
    );
}

/// Horizontal stripes across a box: reduction.
pub fn stripes(area: Rect, color: Color32, boxes: &mut BoxMesh) {
    const STRIPE: f32 = 1.5;
    const STEP: f32 = 4.0;
    let mut stripe = |y: f32| {
        let across = Rect::from_min_max(pos2(area.left(), y), pos2(area.right(), y + STRIPE));
        boxes.add(across, color);
    };
    let mut y = area.bottom() - STRIPE;
    while y > area.top() {
        stripe(y);
        y -= STEP;
    }
    stripe(area.top());
    for x in [area.left(), area.right()] {
        boxes.stroke(x, (area.top(), area.bottom()), 1.0, color);
    }
}
