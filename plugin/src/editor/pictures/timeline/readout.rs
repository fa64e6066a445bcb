//! Text of the timeline: legend, values under the pointer, tally.

use egui::{Align2, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2, vec2};
use siskin_dsp::Class;
use siskin_editor_layout::{TALLY, Timeline};

use crate::editor::model::history::{Column, History};
use crate::editor::model::tally::{Outcome, Tally};
use crate::editor::widgets::mesh::BoxMesh;
use crate::editor::widgets::{marks, palette, typeface};
use crate::params::readout::level;

/// Narrower than this the tally text is shortened, points.
const SHORT_TALLY_WIDTH: f32 = 530.0;
/// Softer levels are shown as a dash, LUFS.
const SILENCE_LUFS: f32 = -100.0;
/// Smaller reductions are not listed, dB.
const MIN_LISTED_DB: f32 = 0.05;

/// Draws the line above the plot: the values under the pointer, or the legend.
pub fn line(ui: &Ui, area: &Timeline, history: &History, pointer: Option<Pos2>, frozen: bool) {
    let painter = ui.painter_at(area.readout);
    let mut at = area.readout.left_center();
    if frozen {
        let drawn = painter.text(
            at,
            Align2::LEFT_CENTER,
            "frozen",
            typeface::strong(),
            palette::WARNING,
        );
        at.x = drawn.right() + 12.0;
    }
    match pointer.and_then(|pointer| Some((pointer, values(history, area.ago_s(pointer.x))?))) {
        Some((pointer, text)) => {
            let text = format!("{text}  pointer {}", lufs(area.lufs(pointer.y)));
            painter.text(at, Align2::LEFT_CENTER, text, typeface::small(), palette::INK);
            let x = pointer.x.round() + 0.5;
            ui.painter()
                .vline(x, area.plot.y_range(), Stroke::new(1.0, palette::INK));
        }
        None => legend(&painter, at),
    }
}

/// A level, or a dash for silence.
fn lufs(level_lufs: f32) -> String {
    if level_lufs > SILENCE_LUFS {
        level(level_lufs, "LUFS")
    } else {
        "\u{2013}".to_owned()
    }
}

/// A gain of 0 or less, as text.
fn reduction(gain_db: f32) -> String {
    level(gain_db.min(0.0), "dB")
}

/// The values `ago_s` seconds ago, as text.
fn values(history: &History, ago_s: f32) -> Option<String> {
    let column = history.column(ago_s)?;
    let mut parts = vec![
        format!("{ago_s:.1} s ago"),
        format!("voice {}", lufs(column.voice_lufs)),
        format!("threshold {}", lufs(column.threshold_lufs)),
    ];
    match history.sibilant(ago_s) {
        Some(sibilant) => {
            parts.push(format!("sibilant {}", lufs(sibilant.level_lufs)));
            let gain_db = sibilant.output_lufs - sibilant.level_lufs;
            parts.push(format!("reduced {}", reduction(gain_db)));
        }
        None => parts.push(class_name(column.class).to_owned()),
    }
    parts.extend(other_gains(column));
    Some(parts.join("  "))
}

fn class_name(class: Class) -> &'static str {
    match class {
        Class::Quiet => "silence",
        Class::Voice => "voice",
        Class::Breath => "breath",
        Class::Sibilant => "sibilant",
    }
}

/// Gains of breath stage and leveller, where they are not 0 dB.
fn other_gains(column: &Column) -> impl Iterator<Item = String> {
    let gain = |name: &str, gain_db: f32| {
        (gain_db < -MIN_LISTED_DB).then(|| format!("{name} {}", reduction(gain_db)))
    };
    let makeup = (column.makeup_db != 0.0).then(|| format!("makeup {}", level(column.makeup_db, "dB")));
    [
        gain("breath", column.breath_gain_db),
        gain("leveller", column.leveller_gain_db),
        makeup,
    ]
    .into_iter()
    .flatten()
}

/// Draws each shape with its meaning.
fn legend(painter: &Painter, at: Pos2) {
    let mut x = at.x;
    let swatch = |x: f32| Rect::from_center_size(pos2(x + 6.0, at.y), vec2(12.0, 10.0));
    let mut next = |text: &str, draw: &dyn Fn(Rect)| {
        draw(swatch(x));
        let text_at = pos2(x + 17.0, at.y);
        let (font, ink) = (typeface::small(), palette::SECONDARY_INK);
        let drawn = painter.text(text_at, Align2::LEFT_CENTER, text, font, ink);
        x = drawn.right() + 14.0;
    };
    next("voice", &|area| {
        painter.rect_filled(area, 0.0, palette::VOICE_AREA);
        painter.hline(area.x_range(), area.top(), Stroke::new(1.5, palette::VOICE));
    });
    next("threshold", &|area| {
        let stroke = Stroke::new(2.0, palette::THRESHOLD);
        painter.hline(area.x_range(), area.center().y, stroke);
    });
    next("sibilant", &|area| {
        painter.rect_filled(area.shrink2(vec2(3.0, 0.0)), 0.0, palette::SIBILANT);
    });
    next("reduction", &|area| {
        let mut boxes = BoxMesh::default();
        marks::stripes(area.shrink2(vec2(3.0, 0.0)), &mut boxes);
        painter.add(boxes);
    });
}

/// Draws the tally as text, and a mark for each of the last sibilants.
pub fn tally(ui: &Ui, area: &Timeline, tally: Option<&Tally>, sibilance_on: bool) {
    let painter = ui.painter_at(area.tally);
    let text = match tally {
        None => "No sibilants yet".to_owned(),
        Some(tally) if sibilance_on => tally.text(area.tally.width() < SHORT_TALLY_WIDTH),
        Some(tally) => format!(
            "last {}: {} out, sibilance off",
            tally.outcomes.len(),
            level(tally.output_lu, "LU")
        ),
    };
    let at = area.tally.left_center();
    painter.text(at, Align2::LEFT_CENTER, text, typeface::text(), palette::INK);
    let Some(tally) = tally else { return };
    let first = TALLY.saturating_sub(tally.outcomes.len());
    for (index, outcome) in tally.outcomes.iter().enumerate() {
        painter.add(tally_mark(area.tally_mark(first + index), *outcome));
    }
}

fn tally_mark(centre: Pos2, outcome: Outcome) -> Shape {
    match outcome {
        Outcome::OnTarget => Shape::circle_filled(centre, 2.5, palette::VOICE),
        Outcome::Above => Shape::convex_polygon(
            marks::triangle(centre, 3.5, true),
            palette::SIBILANT,
            Stroke::NONE,
        ),
        Outcome::Below => Shape::convex_polygon(
            marks::triangle(centre, 3.5, false),
            palette::PAPER,
            Stroke::new(1.2, palette::THRESHOLD),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_carry_their_units() {
        assert_eq!([lufs(-23.04), lufs(-120.0)], ["-23.0 LUFS", "\u{2013}"]);
        assert_eq!([reduction(-6.0), reduction(-0.01)], ["-6.0 dB", "0.0 dB"]);
    }
}
