//! The lanes below the plot: reduction of the sibilance stage, breaths, and leveller gain.

use egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2};
use siskin_editor_layout::Timeline;

use super::draw::{runs, scale_label};
use crate::editor::model::history::{COLUMNS, Column, History};
use crate::editor::widgets::mesh::{BoxMesh, thinned};
use crate::editor::widgets::palette::{self, Palette};
use crate::editor::widgets::typeface;

/// Reduction at the bottom of a lane, dB: the most that Range allows.
const MAX_DB: f32 = 24.0;
/// Line height of a lane's name, points.
const NAME_HEIGHT: f32 = 14.0;
/// Smaller reductions are not drawn, dB.
const MIN_SHOWN_DB: f32 = 0.1;

/// Horizontal position of each column.
fn x(lane: Rect, count: usize) -> impl Fn(usize) -> f32 {
    let step = lane.width() / COLUMNS as f32;
    let first = lane.right() - step * count as f32;
    move |index| first + step * index as f32
}

/// Draws an empty lane with its name, in one or two lines, on the right.
fn lane(ui: &Ui, area: Rect, names: &[&str]) -> Painter {
    let colours = palette::of(ui.ctx());
    let painter = ui.painter_at(area);
    let line = Stroke::new(1.0, colours.grid);
    painter.hline(area.x_range(), area.top() + 0.5, line);
    painter.hline(area.x_range(), area.bottom() - 0.5, line);
    for (index, name) in names.iter().enumerate() {
        let down = (index as f32 - 0.5 * (names.len() as f32 - 1.0)) * NAME_HEIGHT;
        let at = pos2(area.right() + 5.0, area.center().y + down);
        let font = typeface::small_without_digits(name);
        ui.painter()
            .text(at, Align2::LEFT_CENTER, name, font, colours.secondary_ink);
    }
    painter
}

/// Draws the scale of a lane, left of it.
fn scale(ui: &Ui, area: Rect) {
    let left = area.left() - 5.0;
    scale_label(ui, pos2(left, area.top() + 5.0), "0 dB");
    scale_label(ui, pos2(left, area.bottom() - 6.0), &format!("-{MAX_DB:.0}"));
}

/// Adds a stroke that hangs from `top` for each column whose gain is below 0 dB.
fn hang(area: Rect, top: f32, history: &History, gain_db: fn(&Column) -> f32, colours: &Palette) -> BoxMesh {
    let x = x(area, history.columns().len());
    let width = area.width() / COLUMNS as f32;
    let mut boxes = BoxMesh::default();
    for (index, column) in history.columns().enumerate() {
        let share = (-gain_db(column) / MAX_DB).min(1.0);
        if share > MIN_SHOWN_DB / MAX_DB {
            let reduced = (top, top + share * (area.bottom() - top));
            boxes.stroke(x(index), reduced, width, colours.reduction);
        }
    }
    boxes
}

/// Draws the reduction of the sibilance stage over time.
pub fn reduction(ui: &Ui, timeline: &Timeline, history: &History, colours: &Palette) {
    let area = timeline.reduction;
    let painter = lane(ui, area, &["reduction"]);
    scale(ui, area);
    let top = area.top() + 1.0;
    painter.add(hang(
        area,
        top,
        history,
        |column| column.sibilance_gain_db,
        colours,
    ));
}

/// Draws the breaths: a lens for each, with its reduction below.
pub fn breaths(ui: &Ui, timeline: &Timeline, history: &History, colours: &Palette) {
    let area = timeline.breaths;
    let painter = lane(ui, area, &["breaths"]);
    let columns: Vec<&Column> = history.columns().collect();
    let x = x(area, columns.len());
    let axis = area.top() + 5.0;
    let mut shapes = Vec::new();
    for (is_breath, run) in runs(&columns, |column| column.is_breath) {
        if is_breath {
            let (from, until) = (x(run.start), x(run.end));
            let lens = Rect::from_min_max(pos2(from, axis - 3.0), pos2(until.max(from + 3.0), axis + 3.0));
            shapes.push(Shape::rect_filled(lens, 3.0, colours.breath));
        }
    }
    let reduced = hang(area, axis + 3.0, history, |column| column.breath_gain_db, colours);
    shapes.push(reduced.into());
    painter.extend(shapes);
}

/// Draws the leveller's gain as an edge that hangs from 0 dB.
pub fn leveller(ui: &Ui, timeline: &Timeline, history: &History, colours: &Palette) {
    let area = timeline.leveller;
    let makeup_db = history
        .columns()
        .next_back()
        .map_or(0.0, |column| column.makeup_db);
    // Shown so that automatic makeup can be read and set as a fixed value.
    let makeup = format!("adds {makeup_db:.1} dB");
    let names: &[&str] = if makeup_db == 0.0 {
        &["leveller"]
    } else {
        &["leveller", &makeup]
    };
    let painter = lane(ui, area, names);
    scale(ui, area);
    let x = x(area, history.columns().len());
    let y = |gain_db: f32| area.top() + 1.0 - gain_db.max(-MAX_DB) / MAX_DB * (area.height() - 2.0);
    let edge: Vec<Pos2> = history
        .columns()
        .enumerate()
        .map(|(index, column)| pos2(x(index), y(column.leveller_gain_db)))
        .collect();
    let mut hangs = BoxMesh::default();
    for at in edge.iter().step_by(3).filter(|at| at.y > area.top() + 1.5) {
        hangs.stroke(at.x, (area.top(), at.y), 0.8, colours.leveller);
    }
    painter.add(hangs);
    let kept = thinned(&edge, |_| false);
    let edge = kept.iter().map(|&index| edge[index]).collect();
    painter.line(edge, Stroke::new(1.5, colours.leveller));
}
