//! The thin lanes under the stream: breaths, and the leveller's gain.

use egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2};
use siskin_dsp::Class;

use super::draw::scale;
use super::history::{COLUMNS, Column, History};
use crate::editor::layout::Stream;
use crate::editor::mesh::{Boxes, thinned};
use crate::editor::{palette, typeface};

/// The reduction that fills the lane of breaths, dB.
const DEEPEST_BREATH_DB: f32 = 24.0;
/// The gain that fills the lane of the leveller, dB.
const DEEPEST_LEVELLER_DB: f32 = 24.0;
/// The height of a line of a lane's name, points.
const NAME_HEIGHT: f32 = 13.0;
/// Less is not drawn, dB.
const SEEN_DB: f32 = 0.1;

/// Where the columns stand.
fn x(lane: Rect, count: usize) -> impl Fn(usize) -> f32 {
    let step = lane.width() / COLUMNS as f32;
    let first = lane.right() - step * count as f32;
    move |index| first + step * index as f32
}

/// An empty lane with its scale on the left and its name, in one line or two, on the right.
fn lane(ui: &Ui, area: Rect, names: &[&str], foot: &str) -> Painter {
    let painter = ui.painter_at(area);
    let line = Stroke::new(1.0, palette::GUIDE);
    painter.hline(area.x_range(), area.top() + 0.5, line);
    painter.hline(area.x_range(), area.bottom() - 0.5, line);
    for (index, name) in names.iter().enumerate() {
        let down = (index as f32 - 0.5 * (names.len() as f32 - 1.0)) * NAME_HEIGHT;
        let at = pos2(area.right() + 5.0, area.center().y + down);
        ui.painter()
            .text(at, Align2::LEFT_CENTER, name, typeface::small(), palette::FAINT);
    }
    if !foot.is_empty() {
        scale(ui, pos2(area.left() - 5.0, area.top() + 4.0), "0 dB");
        scale(ui, pos2(area.left() - 5.0, area.bottom() - 4.0), foot);
    }
    painter
}

/// Breaths: a lens each, and below its axis how much was taken of it.
pub fn breaths(ui: &Ui, place: &Stream, past: &History) {
    let area = place.breaths;
    let painter = lane(ui, area, &["breaths"], "");
    let x = x(area, past.columns().len());
    let axis = area.top() + 5.0;
    let (mut shapes, mut boxes) = (Vec::new(), Boxes::default());
    for (from, until) in runs(past, |column| column.class == Class::Breath) {
        let lens = Rect::from_min_max(
            pos2(x(from), axis - 3.0),
            pos2(x(until).max(x(from) + 3.0), axis + 3.0),
        );
        shapes.push(Shape::rect_filled(lens, 3.0, palette::BREATH));
    }
    let depth = |gain_db: f32| axis + 3.0 - gain_db / DEEPEST_BREATH_DB * (area.bottom() - axis - 3.0);
    for (index, column) in past.columns().enumerate() {
        if column.breath_gain_db < -SEEN_DB {
            let taken = (axis + 3.0, depth(column.breath_gain_db));
            boxes.stroke(x(index), taken, 1.0, palette::TAKEN);
        }
    }
    shapes.push(boxes.into());
    painter.extend(shapes);
}

/// First and past-last columns of each run of which `is` holds.
fn runs(past: &History, is: impl Fn(&Column) -> bool) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (index, column) in past.columns().enumerate() {
        match runs.last_mut() {
            Some((_, until)) if is(column) && *until == index => *until += 1,
            _ if is(column) => runs.push((index, index + 1)),
            _ => {}
        }
    }
    runs
}

/// The leveller's gain: an edge that hangs from 0 dB.
pub fn leveller(ui: &Ui, place: &Stream, past: &History) {
    let area = place.leveller;
    let makeup_db = past.columns().next_back().map_or(0.0, |column| column.makeup_db);
    let adds = format!("adds {makeup_db:.1} dB");
    // Whoever wants automatic makeup fixed reads it here and sets it by hand.
    let names: &[&str] = if makeup_db == 0.0 {
        &["leveller"]
    } else {
        &["leveller", &adds]
    };
    let painter = lane(ui, area, names, "-24");
    let x = x(area, past.columns().len());
    let y = |gain_db: f32| {
        area.top() + 1.0 - gain_db.max(-DEEPEST_LEVELLER_DB) / DEEPEST_LEVELLER_DB * (area.height() - 2.0)
    };
    let edge: Vec<Pos2> = past
        .columns()
        .enumerate()
        .map(|(index, column)| pos2(x(index), y(column.leveller_gain_db)))
        .collect();
    let mut hangs = Boxes::default();
    for at in edge.iter().step_by(3).filter(|at| at.y > area.top() + 1.5) {
        hangs.stroke(at.x, (area.top(), at.y), 0.8, palette::LEVELLER);
    }
    painter.add(hangs);
    let kept = thinned(&edge, |_| false);
    let edge = kept.iter().map(|&index| edge[index]).collect();
    painter.line(edge, Stroke::new(1.5, palette::LEVELLER));
}
