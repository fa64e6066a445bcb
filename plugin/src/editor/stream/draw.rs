//! The picture itself: the voice as an area, the threshold as a line upon it, each sibilant as a blade.

use egui::{Align2, Pos2, Rect, Stroke, Ui, pos2};
use siskin_dsp::Class;

use super::history::{COLUMNS, Column, History, Sibilant};
use crate::editor::layout::Stream;
use crate::editor::mesh::{Boxes, thinned};
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
    marks::edge(painter, place.frame);
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
    let line = |of: fn(&Column) -> f32| -> Vec<Pos2> {
        let x = |index: usize| first + step * (index as f32 + 1.0);
        let points = columns.iter().enumerate();
        points
            .map(|(index, column)| pos2(x(index), place.y(of(column))))
            .collect()
    };
    let voice = line(|column| column.voice_lufs);
    let sounds = |index: usize| columns[index].class == Class::Voice;
    // Where the colour changes a point must stand, on either side.
    let changes = |index: usize| {
        columns
            .get(index + 1)
            .is_some_and(|_| sounds(index) != sounds(index + 1))
    };
    let kept = thinned(&voice, changes);
    let color = |index: usize| {
        if sounds(index) {
            palette::VOICE_AREA
        } else {
            palette::VOICE_HELD
        }
    };
    let mut boxes = Boxes::default();
    let foot = place.plot.bottom();
    boxes.area(kept.iter().map(|&index| (voice[index], color(index))), foot);
    painter.add(boxes);
    let voice: Vec<Pos2> = kept.iter().map(|&index| voice[index]).collect();
    painter.line(voice, Stroke::new(1.5, palette::VOICE));
    let mut blades = Boxes::default();
    for (sibilant, from_s, until_s) in past.sibilants() {
        blade(place, sibilant, (place.x(from_s), place.x(until_s)), &mut blades);
    }
    painter.add(blades);
    let threshold = line(|column| column.threshold_lufs);
    let kept = thinned(&threshold, |_| false);
    let threshold = kept.iter().map(|&index| threshold[index]).collect();
    painter.line(threshold, Stroke::new(2.0, palette::THRESHOLD));
}

/// A sibilant: an upright blade as high as it came; what stands over what is left of it is striped.
fn blade(place: &Stream, sibilant: &Sibilant, (from, until): (f32, f32), boxes: &mut Boxes) {
    let right = until.max(from + LEAST_BLADE);
    let (came, left) = (place.y(sibilant.level_lufs), place.y(sibilant.left_lufs));
    let foot = place.plot.bottom();
    boxes.add(
        Rect::from_min_max(pos2(from, left), pos2(right, foot)),
        palette::SIBILANT,
    );
    if sibilant.level_lufs - sibilant.left_lufs > SEEN_DB {
        let taken = Rect::from_min_max(pos2(from, came), pos2(right, left));
        boxes.add(taken, palette::PAPER);
        marks::stripes(taken, boxes);
    }
}
