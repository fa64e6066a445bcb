//! The picture itself: the voice as an area, the threshold as a line upon it, each sibilant as a blade.

use egui::epaint::{Mesh, Vertex, WHITE_UV};
use egui::{Align2, Color32, Pos2, Rect, Shape, Stroke, StrokeKind, Ui, pos2};
use siskin_dsp::Class;

use super::history::{COLUMNS, Column, History, Sibilant};
use crate::editor::layout::Stream;
use crate::editor::{marks, palette, typeface};

/// The levels that are ruled, LUFS.
const RULED_LUFS: [f32; 4] = [-12.0, -24.0, -36.0, -48.0];
/// A blade is never narrower, points.
const LEAST_BLADE: f32 = 3.0;
/// Less is not drawn as taken away, dB.
const SEEN_DB: f32 = 0.1;

/// The empty sheet with its scale.
pub fn sheet(ui: &Ui, place: &Stream) {
    let painter = ui.painter();
    painter.rect_filled(place.frame, 3.0, palette::SHEET);
    painter.rect_stroke(
        place.frame,
        3.0,
        Stroke::new(1.0, palette::EDGE),
        StrokeKind::Inside,
    );
    for lufs in RULED_LUFS {
        let y = place.y(lufs);
        painter.hline(place.plot.x_range(), y, Stroke::new(1.0, palette::GUIDE));
        scale(ui, pos2(place.plot.left() - 5.0, y), &format!("{lufs:.0}"));
    }
    scale(
        ui,
        pos2(place.plot.left() - 5.0, place.plot.bottom() - 6.0),
        "LUFS",
    );
    for ago_s in [2.0, 4.0, 6.0] {
        let x = place.x(ago_s);
        painter.vline(x, place.plot.y_range(), Stroke::new(1.0, palette::GUIDE));
        painter.text(
            pos2(x, place.plot.top() + 1.0),
            Align2::CENTER_TOP,
            format!("{ago_s:.0} s ago"),
            typeface::small(),
            palette::FAINT,
        );
    }
}

/// A word of a scale, left of `at`.
pub fn scale(ui: &Ui, at: Pos2, text: &str) {
    ui.painter()
        .text(at, Align2::RIGHT_CENTER, text, typeface::small(), palette::FAINT);
}

/// Voice, blades and threshold.
pub fn past(ui: &Ui, place: &Stream, past: &History) {
    let painter = ui.painter_at(place.plot);
    let columns: Vec<&Column> = past.columns().collect();
    let step = place.plot.width() / COLUMNS as f32;
    let first = place.plot.right() - step * columns.len() as f32;
    let x = |index: usize| first + step * (index as f32 + 1.0);
    painter.add(area(place, &columns, x));
    let line = |of: fn(&Column) -> f32| -> Vec<Pos2> {
        let points = columns.iter().enumerate();
        points
            .map(|(index, column)| pos2(x(index), place.y(of(column))))
            .collect()
    };
    painter.line(line(|column| column.voice_lufs), Stroke::new(1.5, palette::VOICE));
    let mut blades = Vec::new();
    for (sibilant, from_s, until_s) in past.sibilants() {
        blade(place, sibilant, (place.x(from_s), place.x(until_s)), &mut blades);
    }
    painter.extend(blades);
    painter.line(
        line(|column| column.threshold_lufs),
        Stroke::new(2.0, palette::THRESHOLD),
    );
}

/// The area under the voice: full where it sounds, pale where its level is only held.
fn area(place: &Stream, columns: &[&Column], x: impl Fn(usize) -> f32) -> Shape {
    let mut mesh = Mesh::default();
    let vertex = |pos: Pos2, color: Color32| Vertex {
        pos,
        uv: WHITE_UV,
        color,
    };
    for (index, column) in columns.iter().enumerate() {
        let color = if column.class == Class::Voice {
            palette::VOICE_AREA
        } else {
            palette::VOICE_HELD
        };
        let (x, foot) = (x(index), place.plot.bottom());
        mesh.vertices
            .push(vertex(pos2(x, place.y(column.voice_lufs)), color));
        mesh.vertices.push(vertex(pos2(x, foot), color));
        if index > 0 {
            let base = 2 * index as u32;
            mesh.add_triangle(base - 2, base - 1, base);
            mesh.add_triangle(base - 1, base, base + 1);
        }
    }
    Shape::mesh(mesh)
}

/// A sibilant: an upright blade as high as it came; what stands over what is left of it is striped.
fn blade(place: &Stream, sibilant: &Sibilant, (from, until): (f32, f32), shapes: &mut Vec<Shape>) {
    let right = until.max(from + LEAST_BLADE);
    let (came, left) = (place.y(sibilant.level_lufs), place.y(sibilant.left_lufs));
    let foot = place.plot.bottom();
    let stands = Rect::from_min_max(pos2(from, left), pos2(right, foot));
    shapes.push(Shape::rect_filled(stands, 0.0, palette::SIBILANT));
    if sibilant.level_lufs - sibilant.left_lufs > SEEN_DB {
        let taken = Rect::from_min_max(pos2(from, came), pos2(right, left));
        shapes.push(Shape::rect_filled(taken, 0.0, palette::SHEET));
        marks::stripes(taken, shapes);
        for x in [from, right] {
            let edge = [pos2(x, came), pos2(x, left)];
            shapes.push(Shape::line_segment(edge, Stroke::new(1.0, palette::TAKEN)));
        }
    }
}
