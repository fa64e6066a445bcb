//! The shapes of the strip.

use egui::{Align2, Pos2, Rect, Shape, Stroke, Ui, pos2, vec2};
use siskin_editor_layout::Song as Area;

use crate::editor::model::song::{NEAR_LU, Song};
use crate::editor::model::tally::Outcome;
use crate::editor::pictures::timeline::tally_mark;
use crate::editor::widgets::mesh::{BoxMesh, thinned};
use crate::editor::widgets::palette::{self, Palette};
use crate::editor::widgets::{marks, typeface};

/// Width of a column of the strip, points.
const COLUMN_WIDTH: f32 = 1.0;

/// A column of the strip: the loudest voice, LUFS, and the last threshold; `None` where nothing was played.
type Column = Option<(f32, f32)>;

/// Draws the lines of the strip and their names.
pub fn frame(ui: &Ui, area: &Area, colours: &Palette) {
    let painter = ui.painter();
    painter.hline(
        area.lane.x_range(),
        area.lane.top(),
        Stroke::new(1.0, colours.grid),
    );
    let middle = area.lane.center().y.round() + 0.5;
    painter.hline(area.lane.x_range(), middle, Stroke::new(1.0, colours.edge));
    for (at, name) in [(area.plot, "song"), (area.lane, "off")] {
        painter.text(
            pos2(area.plot.left() - 5.0, at.center().y),
            Align2::RIGHT_CENTER,
            name,
            typeface::small(),
            colours.secondary_ink,
        );
    }
}

/// Draws the voice as an area, and the threshold as a line.
pub fn voice(ui: &Ui, area: &Area, song: &Song, span_s: (f64, f64), colours: &Palette) {
    let columns = columns(area, song, span_s);
    let painter = ui.painter_at(area.plot);
    let x = |index: usize| area.plot.left() + COLUMN_WIDTH * (index as f32 + 0.5);
    let mut fill = BoxMesh::default();
    let mut shapes = Vec::new();
    for (first, run) in runs(&columns, |&(voice_lufs, _)| voice_lufs.is_finite()) {
        let line: Vec<Pos2> = (first..)
            .zip(run)
            .map(|(index, (voice_lufs, _))| pos2(x(index), area.y(*voice_lufs)))
            .collect();
        let ends = [line[0], line[line.len() - 1]];
        let line = widened(line);
        let line: Vec<Pos2> = thinned(&line, |_| false)
            .into_iter()
            .map(|index| line[index])
            .collect();
        fill.area(
            line.iter().map(|at| (*at, colours.voice_area)),
            area.plot.bottom(),
        );
        for end in ends {
            fill.stroke(end.x, (end.y, area.plot.bottom()), 1.0, colours.voice_area);
        }
        shapes.push(Shape::line(line, Stroke::new(1.0, colours.voice)));
    }
    painter.add(fill);
    painter.extend(shapes);
    for (first, run) in runs(&columns, |_| true) {
        let line: Vec<Pos2> = (first..)
            .zip(run)
            .map(|(index, (_, threshold_lufs))| pos2(x(index), area.y(*threshold_lufs)))
            .collect();
        let line = thinned(&line, |_| false).into_iter().map(|index| line[index]);
        painter.line(line.collect(), Stroke::new(1.5, colours.threshold));
    }
}

/// A line of one point becomes one of two.
fn widened(mut line: Vec<Pos2>) -> Vec<Pos2> {
    if let [only] = line[..] {
        line.push(only + vec2(COLUMN_WIDTH, 0.0));
    }
    line
}

/// Runs of columns that were played and for which `is` holds, each with the index of its first.
fn runs(columns: &[Column], is: impl Fn(&(f32, f32)) -> bool) -> Vec<(usize, Vec<&(f32, f32)>)> {
    let mut runs: Vec<(usize, Vec<&(f32, f32)>)> = Vec::new();
    let mut goes_on = false;
    for (index, column) in columns.iter().enumerate() {
        let column = column.as_ref().filter(|column| is(column));
        match (column, runs.last_mut()) {
            (Some(column), Some((_, run))) if goes_on => run.push(column),
            (Some(column), _) => runs.push((index, vec![column])),
            (None, _) => {}
        }
        goes_on = column.is_some();
    }
    runs
}

/// The cells of the song in columns of the strip. Cells that are wider than a column fill several.
fn columns(area: &Area, song: &Song, span_s: (f64, f64)) -> Vec<Column> {
    let count = (area.plot.width() / COLUMN_WIDTH).max(1.0) as usize;
    let notes = &song.notes;
    let cell_s = f64::from(siskin_dsp::VOICE_CELL_S);
    let cell = |index: usize| {
        let along_s = (span_s.1 - span_s.0) * index as f64 / count as f64;
        ((span_s.0 + along_s - notes.start_s) / cell_s).floor() as i64
    };
    let column = |index: usize| {
        let (from, to) = (cell(index), cell(index + 1).max(cell(index) + 1));
        let cells = (from..to).filter_map(|cell| *notes.cells.get(usize::try_from(cell).ok()?)?);
        cells.fold(None, |column: Column, cell| {
            let loudest = column.map_or(f32::NEG_INFINITY, |(voice_lufs, _)| voice_lufs);
            Some((loudest.max(cell.voice_lufs), cell.threshold_lufs))
        })
    };
    (0..count).map(column).collect()
}

/// Draws a mark for each sibilant: a dot near what was asked, a triangle on a stick above or below it.
pub fn sibilants(ui: &Ui, area: &Area, song: &Song, span_s: (f64, f64), colours: &Palette) {
    let painter = ui.painter_at(area.lane.expand2(vec2(4.0, 2.0)));
    let middle = area.lane.center().y;
    let (mut boxes, mut far) = (BoxMesh::default(), Vec::new());
    for sibilant in &song.notes.sibilants {
        let off_lu = sibilant.off_lu();
        let at = pos2(area.x(sibilant.start_s, span_s), area.off_y(off_lu));
        if off_lu.abs() <= NEAR_LU {
            boxes.add(Rect::from_center_size(at, vec2(2.5, 2.5)), colours.voice);
            continue;
        }
        let (outcome, ink) = if off_lu > 0.0 {
            (Outcome::Above, colours.sibilant)
        } else {
            (Outcome::Below, colours.threshold)
        };
        boxes.stroke(at.x, (at.y.min(middle), at.y.max(middle)), 1.0, ink);
        far.push(tally_mark(at, outcome, colours));
    }
    painter.add(boxes);
    painter.extend(far);
}

/// Draws a rule where each section begins, and its number.
pub fn sections(ui: &Ui, area: &Area, song: &Song, span_s: (f64, f64)) {
    let colours = palette::of(ui.ctx());
    let painter = ui.painter_at(area.plot.union(area.lane));
    let mut free_from = area.plot.left();
    for (index, section) in song.sections.iter().enumerate() {
        let x = area.x(section.start_s, span_s).round() + 0.5;
        if index > 0 {
            let whole = area.plot.top()..=area.lane.bottom();
            painter.vline(x, whole, Stroke::new(1.0, colours.edge));
        }
        let number = (index + 1).to_string();
        let number = painter.layout_no_wrap(number, typeface::text(), colours.ink);
        let at = pos2(x + 3.0, area.plot.top() - 2.0);
        if at.x >= free_from {
            free_from = at.x + number.size().x + 4.0;
            painter.galley(at, number, colours.ink);
        }
    }
}

/// Marks the chosen sibilant.
pub fn chosen(ui: &Ui, x: f32, area: &Area) {
    let colours = palette::of(ui.ctx());
    let painter = ui.painter();
    let x = x.round();
    let mut line = BoxMesh::default();
    line.stroke(x, (area.plot.top(), area.lane.bottom()), 2.0, colours.focus);
    painter.add(line);
    for (y, up) in [(area.plot.top(), false), (area.lane.bottom(), true)] {
        painter.add(Shape::convex_polygon(
            marks::triangle(pos2(x, y), 4.5, up),
            colours.focus,
            Stroke::NONE,
        ));
    }
}

/// Marks where the song plays.
pub fn playing(ui: &Ui, x: f32, area: &Area, colours: &Palette) {
    let whole = area.plot.top()..=area.lane.bottom();
    ui.painter()
        .vline(x.round() + 0.5, whole, Stroke::new(1.0, colours.ink));
    let at = pos2(x.round() + 0.5, area.plot.top());
    ui.painter().add(Shape::convex_polygon(
        marks::diamond(at, 3.5),
        colours.ink,
        Stroke::NONE,
    ));
}

/// Says what is missing.
pub fn message(ui: &Ui, area: &Area, song: &Song) {
    let Some(text) = song.message() else { return };
    let colours = palette::of(ui.ctx());
    let width = area.plot.width() - 24.0;
    let text = typeface::one_line(ui.painter(), text, typeface::small(), colours.ink, width);
    let at = pos2(area.plot.right() - text.size().x - 4.0, area.plot.top());
    let ground = Rect::from_min_size(at, text.size()).expand2(vec2(4.0, 0.0));
    ui.painter().rect_filled(ground, 0.0, colours.paper);
    ui.painter().galley(at, text, colours.ink);
}
