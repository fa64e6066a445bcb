//! The last seconds: voice level, adaptive threshold and sibilants as levels, and the reduction from the top down.

use std::collections::VecDeque;

use egui::{Align2, Color32, FontId, Painter, Rect, Sense, Shape, Stroke, Ui, pos2, vec2};
use siskin_dsp::{Class, HopReport};

use super::look;

/// How many columns the past is kept in.
const COLUMNS: usize = 600;
/// How many reports share a column: about 1/90 s each at 48 kHz, so 6.7 s in all.
const HOPS_A_COLUMN: usize = 8;
/// The width kept for the scale, points.
const SCALE_WIDTH: f32 = 62.0;
/// The levels that the height spans, LUFS.
const TOP_LUFS: f32 = 0.0;
const BOTTOM_LUFS: f32 = -60.0;
/// The reduction that the height spans, dB.
const DEEPEST_DB: f32 = 24.0;

/// What a column shows.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Column {
    voice_lufs: f32,
    threshold_lufs: f32,
    sibilance_lufs: Option<f32>,
    reduction_db: f32,
}

/// The past, oldest first.
#[derive(Debug, Default)]
pub struct Trace {
    columns: VecDeque<Column>,
    hops: Vec<HopReport>,
}

impl Trace {
    /// Takes the next report.
    pub fn push(&mut self, report: HopReport) {
        self.hops.push(report);
        if self.hops.len() == HOPS_A_COLUMN {
            self.columns.extend(column(&self.hops));
            self.hops.clear();
        }
        if self.columns.len() > COLUMNS {
            self.columns.pop_front();
        }
    }

    /// Draws the past into the width that is left.
    pub fn draw(&self, ui: &mut Ui, height: f32) {
        let (area, _) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::hover());
        let painter = ui.painter_at(area);
        painter.rect_filled(area, 2.0, look::WELL);
        let area = area.with_max_x(area.right() - SCALE_WIDTH);
        grid(&painter, area);
        self.line(&painter, area, look::VOICE, |column| {
            Some(level_y(area, column.voice_lufs))
        });
        self.line(&painter, area, look::THRESHOLD, |column| {
            Some(level_y(area, column.threshold_lufs))
        });
        self.line(&painter, area, look::SIBILANCE, |column| {
            column.sibilance_lufs.map(|lufs| level_y(area, lufs))
        });
        self.line(&painter, area, look::REDUCTION, |column| {
            (column.reduction_db < -0.05).then(|| reduction_y(area, column.reduction_db))
        });
        legend(&painter, area);
    }

    /// A line through the columns, broken where there is nothing to show.
    fn line(&self, painter: &Painter, area: Rect, ink: Color32, y: impl Fn(&Column) -> Option<f32>) {
        let stroke = Stroke::new(1.5, ink);
        let step = area.width() / COLUMNS as f32;
        let first = area.right() - step * self.columns.len() as f32;
        let mut points = Vec::new();
        for (index, column) in self.columns.iter().enumerate() {
            match y(column) {
                Some(y) => points.push(pos2(first + step * index as f32, y)),
                None => painter.extend([Shape::line(std::mem::take(&mut points), stroke)]),
            }
        }
        painter.add(Shape::line(points, stroke));
    }
}

/// The last voice, the loudest sibilant and the deepest reduction of some reports.
fn column(hops: &[HopReport]) -> Option<Column> {
    let last = hops.last()?;
    Some(Column {
        voice_lufs: last.voice_lufs,
        threshold_lufs: last.threshold_lufs,
        sibilance_lufs: hops
            .iter()
            .filter(|hop| hop.class == Class::Sibilant)
            .map(|hop| hop.sibilance_lufs)
            .reduce(f32::max),
        reduction_db: hops
            .iter()
            .map(|hop| hop.sibilance_gain_db.min(hop.breath_gain_db))
            .fold(0.0, f32::min),
    })
}

fn level_y(area: Rect, lufs: f32) -> f32 {
    let down = (TOP_LUFS - lufs) / (TOP_LUFS - BOTTOM_LUFS);
    area.top() + area.height() * down.clamp(0.0, 1.0)
}

fn reduction_y(area: Rect, gain_db: f32) -> f32 {
    area.top() + area.height() * (-gain_db / DEEPEST_DB).clamp(0.0, 1.0)
}

fn grid(painter: &Painter, area: Rect) {
    for lufs in [-12.0, -24.0, -36.0, -48.0f32] {
        let y = level_y(area, lufs);
        painter.hline(area.x_range(), y, Stroke::new(1.0, look::LINE));
        let at = pos2(area.right() + SCALE_WIDTH - 6.0, y);
        let font = FontId::proportional(look::SMALL_SIZE);
        painter.text(
            at,
            Align2::RIGHT_CENTER,
            format!("{lufs:.0} LUFS"),
            font,
            look::FAINT,
        );
    }
}

fn legend(painter: &Painter, area: Rect) {
    let mut x = area.left() + 6.0;
    for (text, ink) in [
        ("voice", look::VOICE),
        ("threshold", look::THRESHOLD),
        ("sibilants", look::SIBILANCE),
        ("reduction (top 0 dB, bottom -24 dB)", look::REDUCTION),
    ] {
        let at = pos2(x, area.bottom() - 4.0);
        let drawn = painter.text(
            at,
            Align2::LEFT_BOTTOM,
            text,
            FontId::proportional(look::SMALL_SIZE),
            ink,
        );
        x = drawn.right() + 12.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_keeps_the_loudest_sibilant_and_the_deepest_reduction() {
        let mut trace = Trace::default();
        for hop in 0..HOPS_A_COLUMN {
            let sibilant = hop == 3;
            trace.push(HopReport {
                class: if sibilant { Class::Sibilant } else { Class::Voice },
                voice_lufs: -20.0 + hop as f32,
                sibilance_lufs: if sibilant { -18.0 } else { -120.0 },
                sibilance_gain_db: if sibilant { -5.0 } else { 0.0 },
                ..HopReport::default()
            });
        }
        let column = trace.columns[0];
        assert_eq!(column.sibilance_lufs, Some(-18.0));
        assert_eq!((column.reduction_db, column.voice_lufs), (-5.0, -13.0));
    }

    #[test]
    fn the_past_is_bounded() {
        let mut trace = Trace::default();
        (0..HOPS_A_COLUMN * (COLUMNS + 50)).for_each(|_| trace.push(HopReport::default()));
        assert_eq!(trace.columns.len(), COLUMNS);
    }
}
