//! The plot: sounding voice as an area, held voice as a broken line, threshold as a line, each sibilant as a vertical bar, each
//! breath as an open block.

use std::ops::{Range, RangeInclusive};

use egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2};
use siskin_dsp::Class;
use siskin_editor_layout::Timeline;

use crate::editor::model::history::{Breath, COLUMNS, Column, History, Sibilant};
use crate::editor::widgets::mesh::{BoxMesh, thinned};
use crate::editor::widgets::palette::{self, Palette};
use crate::editor::widgets::{marks, typeface};

/// Levels of the grid, LUFS.
const GRID_LUFS: [f32; 4] = [-12.0, -24.0, -36.0, -48.0];
/// Least width of a bar, points.
const MIN_BAR_WIDTH: f32 = 3.0;
/// Width of the lines of a block, points.
const BLOCK_LINE: f32 = 2.0;
/// Smaller reductions are not drawn, dB.
const MIN_SHOWN_DB: f32 = 0.1;

/// Draws frame, grid and scale.
pub fn grid(ui: &Ui, area: &Timeline) {
    let colours = palette::of(ui.ctx());
    let painter = ui.painter();
    marks::edge(painter, area.frame);
    for lufs in GRID_LUFS {
        let y = area.y(lufs);
        painter.hline(area.plot.x_range(), y, Stroke::new(1.0, colours.grid));
        scale_label(ui, pos2(area.plot.left() - 5.0, y), &format!("{lufs:.0}"));
    }
    scale_label(ui, pos2(area.plot.left() - 5.0, area.plot.top() + 5.0), "LUFS");
    for ago_s in [2.0, 4.0, 6.0] {
        let x = area.x(ago_s);
        painter.vline(x, area.plot.y_range(), Stroke::new(1.0, colours.grid));
        painter.text(
            pos2(x, area.plot.top()),
            Align2::CENTER_TOP,
            format!("{ago_s:.0} s ago"),
            typeface::text(),
            colours.secondary_ink,
        );
    }
}

/// Draws a label of a scale, left of `at`.
pub fn scale_label(ui: &Ui, at: Pos2, text: &str) {
    let ink = palette::of(ui.ctx()).secondary_ink;
    ui.painter()
        .text(at, Align2::RIGHT_CENTER, text, typeface::text(), ink);
}

/// Draws voice, breaths, sibilants and threshold.
pub fn history(ui: &Ui, area: &Timeline, history: &History, colours: &Palette) {
    let painter = ui.painter_at(area.plot);
    let columns: Vec<&Column> = history.columns().collect();
    let step = area.plot.width() / COLUMNS as f32;
    let first = area.plot.right() - step * columns.len() as f32;
    let line = |of: fn(&Column) -> f32| -> Vec<Pos2> {
        let x = |index: usize| first + step * (index as f32 + 1.0);
        let points = columns.iter().enumerate();
        points
            .map(|(index, column)| pos2(x(index), area.y(of(column))))
            .collect()
    };
    voice(
        &painter,
        area,
        &line(|column| column.voice_lufs),
        &columns,
        colours,
    );
    let mut bars = BoxMesh::default();
    for (breath, from_s, until_s) in history.breaths() {
        let across = area.x(from_s)..=area.x(until_s);
        block(area, breath, across, colours, &mut bars);
    }
    for (sibilant, from_s, until_s) in history.sibilants() {
        let across = area.x(from_s)..=area.x(until_s);
        bar(area, sibilant, across, colours, &mut bars);
    }
    painter.add(bars);
    let threshold = without_straight_points(&line(|column| column.threshold_lufs));
    painter.line(threshold, Stroke::new(2.0, colours.threshold));
}

/// Draws the voice: an area with an outline while it sounds, a broken line while its level is held.
fn voice(painter: &Painter, area: &Timeline, line: &[Pos2], columns: &[&Column], colours: &Palette) {
    let foot = area.plot.bottom();
    let (mut fill, mut shapes) = (BoxMesh::default(), Vec::new());
    for (sounds, run) in runs(columns, |column| column.class == Class::Voice) {
        // Each piece of the line belongs to the column at its end.
        let piece = without_straight_points(&line[run.start.saturating_sub(1)..run.end]);
        let (Some(from), Some(to)) = (piece.first().copied(), piece.last().copied()) else {
            continue;
        };
        if sounds {
            fill.area(piece.iter().map(|at| (*at, colours.voice_area)), foot);
            for end in [from, to] {
                fill.stroke(end.x, (end.y, foot), 1.0, colours.voice);
            }
            shapes.push(Shape::line(piece, Stroke::new(1.5, colours.voice)));
        } else {
            shapes.extend(held_line(&piece, colours));
        }
    }
    painter.add(fill);
    painter.extend(shapes);
}

/// The line of a voice level that is held.
pub fn held_line(line: &[Pos2], colours: &Palette) -> Vec<Shape> {
    Shape::dashed_line(line, Stroke::new(1.5, colours.voice), 4.0, 3.0)
}

fn without_straight_points(line: &[Pos2]) -> Vec<Pos2> {
    let kept = thinned(line, |_| false);
    kept.iter().map(|&index| line[index]).collect()
}

/// Runs of columns for which `is` holds or does not.
pub fn runs(columns: &[&Column], is: impl Fn(&Column) -> bool) -> Vec<(bool, Range<usize>)> {
    let mut runs: Vec<(bool, Range<usize>)> = Vec::new();
    for (index, column) in columns.iter().enumerate() {
        match runs.last_mut() {
            Some((holds, run)) if *holds == is(column) => run.end = index + 1,
            _ => runs.push((is(column), index..index + 1)),
        }
    }
    runs
}

/// Adds the bar of a sibilant: as high as its input level, striped above its output level.
fn bar(area: &Timeline, sibilant: &Sibilant, x: RangeInclusive<f32>, colours: &Palette, boxes: &mut BoxMesh) {
    let (left, right) = (*x.start(), x.end().max(x.start() + MIN_BAR_WIDTH));
    let (input_y, output_y) = (area.y(sibilant.level_lufs), area.y(sibilant.output_lufs));
    let foot = area.plot.bottom();
    boxes.add(
        Rect::from_min_max(pos2(left, output_y), pos2(right, foot)),
        colours.sibilant,
    );
    let reduced = Rect::from_min_max(pos2(left, input_y), pos2(right, output_y));
    reduction(area, reduced, colours, boxes);
}

/// Adds the block of a breath: open, as high as its level, striped above what is left of it.
fn block(area: &Timeline, breath: &Breath, x: RangeInclusive<f32>, colours: &Palette, boxes: &mut BoxMesh) {
    let (left, right) = (*x.start(), x.end().max(x.start() + MIN_BAR_WIDTH));
    let (input_y, output_y) = (area.y(breath.level_lufs), area.y(breath.output_lufs));
    let block = Rect::from_min_max(pos2(left, output_y), pos2(right, area.plot.bottom()));
    open_block(block, colours, boxes);
    let reduced = Rect::from_min_max(pos2(left, input_y), pos2(right, output_y));
    reduction(area, reduced, colours, boxes);
}

/// Adds the outline of a breath: left, upper and right side.
pub fn open_block(block: Rect, colours: &Palette, boxes: &mut BoxMesh) {
    boxes.add(block.with_max_y(block.top() + BLOCK_LINE), colours.breath);
    for x in [block.left(), block.right() - BLOCK_LINE] {
        let side = Rect::from_x_y_ranges(x..=x + BLOCK_LINE, block.y_range());
        boxes.add(side, colours.breath);
    }
}

/// Adds what is taken, unless it is too little to be seen.
fn reduction(area: &Timeline, reduced: Rect, colours: &Palette, boxes: &mut BoxMesh) {
    if area.lu_down(reduced.height()) > MIN_SHOWN_DB {
        boxes.add(reduced, colours.paper);
        marks::stripes(reduced, colours.reduction, boxes);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_dsp::HopReport;

    #[test]
    fn runs_alternate_and_cover_every_column() {
        let classes = [
            Class::Voice,
            Class::Voice,
            Class::Quiet,
            Class::Breath,
            Class::Voice,
        ];
        let columns = classes.map(|class| Column {
            class,
            ..Column::new(&HopReport::default())
        });
        let columns: Vec<&Column> = columns.iter().collect();
        assert_eq!(
            runs(&columns, |column| column.class == Class::Voice),
            [(true, 0..2), (false, 2..4), (true, 4..5)]
        );
    }
}
