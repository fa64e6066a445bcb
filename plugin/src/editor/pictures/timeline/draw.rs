//! The plot: voice level as an area, threshold as a line, each sibilant as a vertical bar.

use std::ops::RangeInclusive;

use egui::{Align2, Pos2, Rect, Stroke, Ui, pos2};
use siskin_dsp::Class;
use siskin_editor_layout::Timeline;

use crate::editor::model::history::{COLUMNS, Column, History, Sibilant};
use crate::editor::widgets::mesh::{BoxMesh, thinned};
use crate::editor::widgets::{marks, palette, typeface};

/// Levels of the grid, LUFS.
const GRID_LUFS: [f32; 4] = [-12.0, -24.0, -36.0, -48.0];
/// Least width of a bar, points.
const MIN_BAR_WIDTH: f32 = 3.0;
/// Smaller reductions are not drawn, dB.
const MIN_SHOWN_DB: f32 = 0.1;

/// Draws frame, grid and scale.
pub fn grid(ui: &Ui, area: &Timeline) {
    let painter = ui.painter();
    marks::edge(painter, area.frame);
    for lufs in GRID_LUFS {
        let y = area.y(lufs);
        painter.hline(area.plot.x_range(), y, Stroke::new(1.0, palette::GRID));
        scale_label(ui, pos2(area.plot.left() - 5.0, y), &format!("{lufs:.0}"));
    }
    scale_label(ui, pos2(area.plot.left() - 5.0, area.plot.bottom() - 6.0), "LUFS");
    for ago_s in [2.0, 4.0, 6.0] {
        let x = area.x(ago_s);
        painter.vline(x, area.plot.y_range(), Stroke::new(1.0, palette::GRID));
        painter.text(
            pos2(x, area.plot.top() + 1.0),
            Align2::CENTER_TOP,
            format!("{ago_s:.0} s ago"),
            typeface::small(),
            palette::SECONDARY_INK,
        );
    }
}

/// Draws a label of a scale, left of `at`.
pub fn scale_label(ui: &Ui, at: Pos2, text: &str) {
    ui.painter().text(
        at,
        Align2::RIGHT_CENTER,
        text,
        typeface::small(),
        palette::SECONDARY_INK,
    );
}

/// Draws voice, sibilants and threshold.
pub fn history(ui: &Ui, area: &Timeline, history: &History) {
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
    let voice = line(|column| column.voice_lufs);
    let is_voice = |index: usize| columns[index].class == Class::Voice;
    // Where the colour changes, the points on both sides stay.
    let changes = |index: usize| {
        columns
            .get(index + 1)
            .is_some_and(|_| is_voice(index) != is_voice(index + 1))
    };
    let kept = thinned(&voice, changes);
    let color = |index: usize| {
        if is_voice(index) {
            palette::VOICE_AREA
        } else {
            palette::VOICE_HELD
        }
    };
    let mut fill = BoxMesh::default();
    let foot = area.plot.bottom();
    fill.area(kept.iter().map(|&index| (voice[index], color(index))), foot);
    painter.add(fill);
    let voice: Vec<Pos2> = kept.iter().map(|&index| voice[index]).collect();
    painter.line(voice, Stroke::new(1.5, palette::VOICE));
    let mut bars = BoxMesh::default();
    for (sibilant, from_s, until_s) in history.sibilants() {
        bar(area, sibilant, area.x(from_s)..=area.x(until_s), &mut bars);
    }
    painter.add(bars);
    let threshold = line(|column| column.threshold_lufs);
    let kept = thinned(&threshold, |_| false);
    let threshold = kept.iter().map(|&index| threshold[index]).collect();
    painter.line(threshold, Stroke::new(2.0, palette::THRESHOLD));
}

/// Adds the bar of a sibilant: as high as its input level, striped above its output level.
fn bar(area: &Timeline, sibilant: &Sibilant, x: RangeInclusive<f32>, boxes: &mut BoxMesh) {
    let (left, right) = (*x.start(), x.end().max(x.start() + MIN_BAR_WIDTH));
    let (input_y, output_y) = (area.y(sibilant.level_lufs), area.y(sibilant.output_lufs));
    let foot = area.plot.bottom();
    boxes.add(
        Rect::from_min_max(pos2(left, output_y), pos2(right, foot)),
        palette::SIBILANT,
    );
    if sibilant.level_lufs - sibilant.output_lufs > MIN_SHOWN_DB {
        let reduced = Rect::from_min_max(pos2(left, input_y), pos2(right, output_y));
        boxes.add(reduced, palette::PAPER);
        marks::stripes(reduced, boxes);
    }
}
