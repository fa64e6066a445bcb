//! Small shapes that are drawn in several places.

use egui::{Align2, Painter, Pos2, Rect, Response, Shape, Stroke, StrokeKind, Ui, pos2, vec2};

use super::mesh::BoxMesh;
use super::{palette, typeface};

/// Hover background and focus frame of a control.
pub fn highlight(ui: &Ui, area: Rect, response: &Response) {
    let around = area.expand2(vec2(4.0, 0.0));
    if response.hovered() || response.dragged() {
        ui.painter().rect_filled(around, 2.0, palette::HOVER);
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
    let stroke = Stroke::new(1.0, palette::EDGE);
    painter.rect_stroke(picture, 3.0, stroke, StrokeKind::Inside);
}

/// Frame of the widget with keyboard focus.
pub fn focus(painter: &Painter, area: Rect) {
    painter.rect_stroke(area, 2.0, Stroke::new(2.0, palette::FOCUS), StrokeKind::Inside);
}

/// One of several choices; the selected one is bold and underlined.
pub fn choice(painter: &Painter, area: Rect, text: &str, selected: bool, live: bool) {
    let (font, ink) = if selected {
        (typeface::strong(), typeface::text_color(live))
    } else {
        (typeface::text(), palette::SECONDARY_INK)
    };
    let drawn = painter.text(area.left_center(), Align2::LEFT_CENTER, text, font, ink);
    if selected {
        let y = area.bottom() + 0.5;
        painter.hline(drawn.x_range(), y, Stroke::new(1.5, ink));
    }
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
    painter.add(Shape::convex_polygon(
        triangle(centre, 5.0, true),
        palette::WARNING,
        Stroke::NONE,
    ));
}

/// Horizontal stripes across a box: reduction.
pub fn stripes(area: Rect, boxes: &mut BoxMesh) {
    const STRIPE: f32 = 1.5;
    const STEP: f32 = 4.0;
    let mut stripe = |y: f32| {
        let across = Rect::from_min_max(pos2(area.left(), y), pos2(area.right(), y + STRIPE));
        boxes.add(across, palette::REDUCTION);
    };
    let mut y = area.bottom() - STRIPE;
    while y > area.top() {
        stripe(y);
        y -= STEP;
    }
    stripe(area.top());
    for x in [area.left(), area.right()] {
        boxes.stroke(x, (area.top(), area.bottom()), 1.0, palette::REDUCTION);
    }
}
