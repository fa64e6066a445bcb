//! What the stream says in words: what its shapes mean, the values under the pointer, and the tally.

use egui::{Align2, Color32, Painter, Pos2, Rect, Shape, Stroke, Ui, pos2, vec2};
use siskin_dsp::Class;

use super::history::History;
use super::tally::{Left, Tally};
use crate::editor::layout::Stream;
use crate::editor::mesh::Boxes;
use crate::editor::{marks, palette, status, typeface};

/// Narrower than this the tally says less in words.
const WORDY_POINTS: f32 = 530.0;

/// The line over the plot: the values under the pointer, or what the shapes mean.
pub fn line(ui: &Ui, place: &Stream, past: &History, pointer: Option<Pos2>, frozen: bool) {
    let area = place.reading;
    let painter = ui.painter_at(area);
    let mut left = area.left();
    if frozen {
        left = word(&painter, pos2(left, area.center().y), "frozen", palette::WARNING) + 12.0;
    }
    match pointer.and_then(|at| Some((at, reading(past, place.ago_s(at.x))?))) {
        Some((at, text)) => {
            let text = format!("{text}  pointer {}", status::lufs(place.lufs(at.y)));
            painter.text(
                pos2(left, area.center().y),
                Align2::LEFT_CENTER,
                text,
                typeface::small(),
                palette::INK,
            );
            let x = at.x.round() + 0.5;
            ui.painter()
                .vline(x, place.plot.y_range(), Stroke::new(1.0, palette::INK));
        }
        None => legend(&painter, pos2(left, area.center().y)),
    }
}

fn word(painter: &Painter, at: Pos2, text: &str, ink: Color32) -> f32 {
    painter
        .text(at, Align2::LEFT_CENTER, text, typeface::strong(), ink)
        .right()
}

/// The values of so long ago.
fn reading(past: &History, ago_s: f32) -> Option<String> {
    let column = past.column(ago_s)?;
    let mut words = vec![
        format!("{ago_s:.1} s ago"),
        format!("voice {}", status::lufs(column.voice_lufs)),
        format!("threshold {}", status::lufs(column.threshold_lufs)),
    ];
    match past.sibilant(ago_s) {
        Some(sibilant) => {
            words.push(format!("sibilant {}", status::lufs(sibilant.level_lufs)));
            let taken_db = sibilant.left_lufs - sibilant.level_lufs;
            words.push(format!("taken {}", status::reduction(taken_db)));
        }
        None => words.push(
            match column.class {
                Class::Quiet => "quiet",
                Class::Voice => "voice sounds",
                Class::Breath => "breath",
                Class::Sibilant => "sibilant",
            }
            .to_owned(),
        ),
    }
    if column.breath_gain_db < -0.05 {
        words.push(format!("breath {}", status::reduction(column.breath_gain_db)));
    }
    if column.leveller_gain_db < -0.05 {
        words.push(format!("leveller {}", status::reduction(column.leveller_gain_db)));
    }
    if column.makeup_db != 0.0 {
        words.push(format!(
            "makeup {}",
            crate::readout::level(column.makeup_db, "dB")
        ));
    }
    Some(words.join("  "))
}

/// Each shape with its word.
fn legend(painter: &Painter, at: Pos2) {
    let mut x = at.x;
    let swatch = |x: f32| Rect::from_center_size(pos2(x + 6.0, at.y), vec2(12.0, 10.0));
    let mut next = |text: &str, draw: &dyn Fn(Rect)| {
        draw(swatch(x));
        let text_at = pos2(x + 17.0, at.y);
        let drawn = painter.text(
            text_at,
            Align2::LEFT_CENTER,
            text,
            typeface::small(),
            palette::FAINT,
        );
        x = drawn.right() + 14.0;
    };
    next("voice", &|area| {
        painter.rect_filled(area, 0.0, palette::VOICE_AREA);
        painter.hline(area.x_range(), area.top(), Stroke::new(1.5, palette::VOICE));
    });
    next("threshold", &|area| {
        painter.hline(
            area.x_range(),
            area.center().y,
            Stroke::new(2.0, palette::THRESHOLD),
        );
    });
    next("sibilant", &|area| {
        painter.rect_filled(area.shrink2(vec2(3.0, 0.0)), 0.0, palette::SIBILANT);
    });
    next("taken away", &|area| {
        let mut boxes = Boxes::default();
        marks::stripes(area.shrink2(vec2(3.0, 0.0)), &mut boxes);
        painter.add(boxes);
    });
}

/// The tally in words, and a mark for each of the last sibilants.
pub fn tally(ui: &Ui, place: &Stream, tally: Option<&Tally>, on: bool) {
    let painter = ui.painter_at(place.tally);
    let words = match tally {
        None => "no sibilant heard yet".to_owned(),
        Some(tally) if on => tally.words(place.tally.width() < WORDY_POINTS),
        Some(tally) => format!(
            "sibilance is off: they leave at {}",
            crate::readout::level(tally.left_lu, "LU")
        ),
    };
    let at = place.tally.left_center();
    painter.text(at, Align2::LEFT_CENTER, words, typeface::text(), palette::INK);
    let Some(tally) = tally else { return };
    let first = crate::editor::layout::TALLY.saturating_sub(tally.dots.len());
    for (index, left) in tally.dots.iter().enumerate() {
        let centre = place.dot(first + index);
        painter.add(match left {
            Left::AsAsked => Shape::circle_filled(centre, 2.5, palette::VOICE),
            Left::Above => Shape::convex_polygon(
                marks::triangle(centre, 3.5, true),
                palette::SIBILANT,
                Stroke::NONE,
            ),
            Left::Below => Shape::convex_polygon(
                marks::triangle(centre, 3.5, false),
                palette::PAPER,
                Stroke::new(1.2, palette::THRESHOLD),
            ),
        });
    }
}
