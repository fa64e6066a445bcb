//! Small things that are drawn in several places.

use egui::{Align2, Painter, Pos2, Rect, Response, Shape, Stroke, StrokeKind, Ui, pos2, vec2};

use super::mesh::Boxes;
use super::{palette, typeface};

/// Shade under the pointer, and the keyboard's frame.
pub fn ground(ui: &Ui, area: Rect, response: &Response) {
    let around = area.expand2(vec2(4.0, 0.0));
    if response.hovered() || response.dragged() {
        ui.painter().rect_filled(around, 2.0, palette::SHADE);
    }
    if response.has_focus() {
        focus(ui.painter(), around);
    }
    bring_into_view(ui, around, response);
}

/// Whoever goes on by the keyboard sees where they are.
pub fn bring_into_view(ui: &Ui, area: Rect, response: &Response) {
    if response.gained_focus() {
        ui.scroll_to_rect(area, None);
    }
}

/// The edge of a picture.
pub fn edge(painter: &Painter, picture: Rect) {
    let stroke = Stroke::new(1.0, palette::EDGE);
    painter.rect_stroke(picture, 3.0, stroke, StrokeKind::Inside);
}

/// The keyboard's frame.
pub fn focus(painter: &Painter, area: Rect) {
    painter.rect_stroke(area, 2.0, Stroke::new(2.0, palette::FOCUS), StrokeKind::Inside);
}

/// One of several words: the chosen one is bold and underlined.
pub fn choice(painter: &Painter, area: Rect, text: &str, (chosen, live): (bool, bool)) {
    let (font, ink) = if chosen {
        (typeface::strong(), typeface::ink(live))
    } else {
        (typeface::text(), palette::FAINT)
    };
    let drawn = painter.text(area.left_center(), Align2::LEFT_CENTER, text, font, ink);
    if chosen {
        let y = area.bottom() + 0.5;
        painter.hline(drawn.x_range(), y, Stroke::new(1.5, ink));
    }
}

/// A diamond.
pub fn diamond(centre: Pos2, radius: f32) -> Vec<Pos2> {
    [(0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)]
        .map(|(x, y)| centre + radius * vec2(x, y))
        .to_vec()
}

/// A triangle that points up or down.
pub fn triangle(centre: Pos2, radius: f32, up: bool) -> Vec<Pos2> {
    let tip = if up { -radius } else { radius };
    vec![
        centre + vec2(0.0, tip),
        centre + vec2(radius, -tip * 0.8),
        centre + vec2(-radius, -tip * 0.8),
    ]
}

/// A warning's mark, left of its words: a triangle with the point up, whatever its colour.
pub fn warning(painter: &Painter, centre: Pos2) {
    painter.add(Shape::convex_polygon(
        triangle(centre, 5.0, true),
        palette::WARNING,
        Stroke::NONE,
    ));
}

/// Stripes across a box: what is taken away.
pub fn stripes(area: Rect, boxes: &mut Boxes) {
    const STRIPE: f32 = 1.5;
    const STEP: f32 = 4.0;
    let mut stripe = |y: f32| {
        let across = Rect::from_min_max(pos2(area.left(), y), pos2(area.right(), y + STRIPE));
        boxes.add(across, palette::TAKEN);
    };
    let mut y = area.bottom() - STRIPE;
    while y > area.top() {
        stripe(y);
        y -= STEP;
    }
    stripe(area.top());
    for x in [area.left(), area.right()] {
        boxes.stroke(x, (area.top(), area.bottom()), 1.0, palette::TAKEN);
    }
}
