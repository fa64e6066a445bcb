//! The legend of the timeline, and that of the tally's marks.

use egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2, vec2};
use siskin_editor_layout::Timeline;

use super::draw::{held_line, open_block};
use crate::editor::model::tally::Outcome;
use crate::editor::widgets::mesh::BoxMesh;
use crate::editor::widgets::palette::{self, Palette};
use crate::editor::widgets::{marks, typeface};

/// The kinds of marks, in the order of their legend.
const OUTCOMES: [(Outcome, &str); 3] = [
    (Outcome::OnTarget, "on target"),
    (Outcome::Above, "above"),
    (Outcome::Below, "below"),
];

/// Draws each shape of the plot with its meaning.
pub fn plot(ui: &Ui, area: &Timeline, frozen: bool, colours: &Palette) {
    let painter = ui.painter_at(area.legend);
    let mut at = area.legend.left_center();
    if frozen {
        let font = typeface::strong();
        let drawn = painter.text(at, Align2::LEFT_CENTER, "frozen", font, colours.warning);
        at.x = drawn.right() + 12.0;
    }
    let mut next = |text: &str, draw: &dyn Fn(Rect)| {
        draw(Rect::from_center_size(pos2(at.x + 6.0, at.y), vec2(12.0, 10.0)));
        at.x = word(&painter, pos2(at.x + 17.0, at.y), text, colours) + 12.0;
    };
    next("voice", &|area| {
        painter.rect_filled(area, 0.0, colours.voice_area);
        painter.line(outline(area), Stroke::new(1.5, colours.voice));
    });
    next("held", &|area| {
        painter.extend(held_line(&[area.left_center(), area.right_center()], colours));
    });
    next("threshold", &|area| {
        let stroke = Stroke::new(2.0, colours.threshold);
        painter.hline(area.x_range(), area.center().y, stroke);
    });
    next("sibilant", &|area| {
        painter.rect_filled(area.shrink2(vec2(3.0, 0.0)), 0.0, colours.sibilant);
    });
    next("breath", &|area| {
        let mut boxes = BoxMesh::default();
        open_block(area.shrink2(vec2(1.0, 0.0)), colours, &mut boxes);
        painter.add(boxes);
    });
    next("reduction", &|area| {
        let mut boxes = BoxMesh::default();
        marks::stripes(area.shrink2(vec2(3.0, 0.0)), colours.reduction, &mut boxes);
        painter.add(boxes);
    });
}

/// Left, upper and right side.
fn outline(area: Rect) -> Vec<Pos2> {
    vec![
        area.left_bottom(),
        area.left_top(),
        area.right_top(),
        area.right_bottom(),
    ]
}

/// Draws a word; returns its right end.
fn word(painter: &Painter, at: Pos2, text: &str, colours: &Palette) -> f32 {
    let font = typeface::small();
    let drawn = painter.text(at, Align2::LEFT_CENTER, text, font, colours.secondary_ink);
    drawn.right()
}

/// Draws the legend of the tally's marks, right-aligned below them, unless it would begin left of `free_from`.
pub fn tally(ui: &Ui, area: &Timeline, free_from: f32, colours: &Palette) {
    const MARK_WIDTH: f32 = 10.0;
    const GAP: f32 = 10.0;
    let painter = ui.painter_at(area.values);
    let width = |text: &str| {
        let galley = painter.layout_no_wrap(text.to_owned(), typeface::small(), Color32::PLACEHOLDER);
        MARK_WIDTH + galley.size().x
    };
    let all: f32 = OUTCOMES.iter().map(|(_, text)| width(text)).sum();
    let mut at = pos2(
        area.values.right() - all - GAP * (OUTCOMES.len() - 1) as f32,
        area.values.center().y,
    );
    if at.x < free_from {
        return;
    }
    for (outcome, text) in OUTCOMES {
        painter.add(tally_mark(at + vec2(3.5, 0.0), outcome, colours));
        at.x = word(&painter, at + vec2(MARK_WIDTH, 0.0), text, colours) + GAP;
    }
}

/// The mark of one sibilant in the tally.
pub fn tally_mark(centre: Pos2, outcome: Outcome, colours: &Palette) -> Shape {
    match outcome {
        Outcome::OnTarget => Shape::circle_filled(centre, 2.5, colours.voice),
        Outcome::Above => {
            Shape::convex_polygon(marks::triangle(centre, 3.5, true), colours.sibilant, Stroke::NONE)
        }
        Outcome::Below => Shape::convex_polygon(
            marks::triangle(centre, 3.5, false),
            colours.paper,
            Stroke::new(1.2, colours.threshold),
        ),
    }
}

/// Says across the middle of a picture why it is grey.
pub fn across(ui: &Ui, plot: Rect, text: &str) {
    let colours = palette::of(ui.ctx());
    let painter = ui.painter_at(plot);
    let text = painter.layout_no_wrap(text.to_owned(), typeface::across(), colours.ink);
    let band = Rect::from_center_size(plot.center(), vec2(plot.width(), text.size().y + 4.0));
    painter.rect_filled(band, 0.0, colours.paper);
    for y in [band.top(), band.bottom()] {
        painter.hline(band.x_range(), y, Stroke::new(1.0, colours.edge));
    }
    painter.galley(band.center() - 0.5 * text.size(), text, colours.ink);
}
