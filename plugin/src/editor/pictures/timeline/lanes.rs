//! The lanes below the plot: breaths and leveller gain.

use egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2};
use siskin_dsp::Class;
use siskin_editor_layout::Timeline;

use super::draw::scale_label;
use crate::editor::model::history::{COLUMNS, Column, History};
use crate::editor::widgets::mesh::{BoxMesh, thinned};
use crate::editor::widgets::{palette, typeface};

/// Reduction at the bottom of the breath lane, dB.
const MAX_BREATH_DB: f32 = 24.0;
/// Reduction at the bottom of the leveller lane, dB.
const MAX_LEVELLER_DB: f32 = 24.0;
/// Line height of a lane's name, points.
const NAME_HEIGHT: f32 = 13.0;
/// Smaller reductions are not drawn, dB.
const MIN_SHOWN_DB: f32 = 0.1;

/// Horizontal position of each column.
fn x(lane: Rect, count: usize) -> impl Fn(usize) -> f32 {
    let step = lane.width() / COLUMNS as f32;
    let first = lane.right() - step * count as f32;
    move |index| first + step * index as f32
}

/// Draws an empty lane with its scale on the left and its name, in one or two lines, on the right.
fn lane(ui: &Ui, area: Rect, names: &[&str], foot: &str) -> Painter {
    let painter = ui.painter_at(area);
    let line = Stroke::new(1.0, palette::GRID);
    painter.hline(area.x_range(), area.top() + 0.5, line);
    painter.hline(area.x_range(), area.bottom() - 0.5, line);
    for (index, name) in names.iter().enumerate() {
        let down = (index as f32 - 0.5 * (names.len() as f32 - 1.0)) * NAME_HEIGHT;
        let at = pos2(area.right() + 5.0, area.center().y + down);
        ui.painter().text(
            at,
            Align2::LEFT_CENTER,
            name,
            typeface::small(),
            palette::SECONDARY_INK,
        );
    }
    if !foot.is_empty() {
        scale_label(ui, pos2(area.left() - 5.0, area.top() + 4.0), "0 dB");
        scale_label(ui, pos2(area.left() - 5.0, area.bottom() - 4.0), foot);
    }
    painter
}

/// Draws the breaths: a lens for each, with its reduction below.
pub fn breaths(ui: &Ui, timeline: &Timeline, history: &History) {
    let area = timeline.breaths;
    let painter = lane(ui, area, &["breaths"], "");
    let x = x(area, history.columns().len());
    let axis = area.top() + 5.0;
    let (mut shapes, mut boxes) = (Vec::new(), BoxMesh::default());
    for (from, until) in runs(history, |column| column.class == Class::Breath) {
        let lens = Rect::from_min_max(
            pos2(x(from), axis - 3.0),
            pos2(x(until).max(x(from) + 3.0), axis + 3.0),
        );
        shapes.push(Shape::rect_filled(lens, 3.0, palette::BREATH));
    }
    let depth = |gain_db: f32| axis + 3.0 - gain_db / MAX_BREATH_DB * (area.bottom() - axis - 3.0);
    for (index, column) in history.columns().enumerate() {
        if column.breath_gain_db < -MIN_SHOWN_DB {
            let reduced = (axis + 3.0, depth(column.breath_gain_db));
            boxes.stroke(x(index), reduced, 1.0, palette::REDUCTION);
        }
    }
    shapes.push(boxes.into());
    painter.extend(shapes);
}

/// First column, and the one after the last, of each run of columns for which `is` holds.
fn runs(history: &History, is: impl Fn(&Column) -> bool) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (index, column) in history.columns().enumerate() {
        match runs.last_mut() {
            Some((_, until)) if is(column) && *until == index => *until += 1,
            _ if is(column) => runs.push((index, index + 1)),
            _ => {}
        }
    }
    runs
}

/// Draws the leveller's gain as an edge that hangs from 0 dB.
pub fn leveller(ui: &Ui, timeline: &Timeline, history: &History) {
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
    let painter = lane(ui, area, names, "-24");
    let x = x(area, history.columns().len());
    let y = |gain_db: f32| {
        area.top() + 1.0 - gain_db.max(-MAX_LEVELLER_DB) / MAX_LEVELLER_DB * (area.height() - 2.0)
    };
    let edge: Vec<Pos2> = history
        .columns()
        .enumerate()
        .map(|(index, column)| pos2(x(index), y(column.leveller_gain_db)))
        .collect();
    let mut hangs = BoxMesh::default();
    for at in edge.iter().step_by(3).filter(|at| at.y > area.top() + 1.5) {
        hangs.stroke(at.x, (area.top(), at.y), 0.8, palette::LEVELLER);
    }
    painter.add(hangs);
    let kept = thinned(&edge, |_| false);
    let edge = kept.iter().map(|&index| edge[index]).collect();
    painter.line(edge, Stroke::new(1.5, palette::LEVELLER));
}
