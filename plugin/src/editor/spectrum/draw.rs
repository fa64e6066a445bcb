//! Drawing the picture of frequencies.

use egui::{Align2, Pos2, Shape, Stroke, Ui, pos2};
use siskin_dsp::{SibilanceSettings, sibilance_gain_db};

use super::Curve;
use super::held::{Held, Powers};
use crate::editor::layout::{HIGHEST_HZ, LOWEST_HZ, Spectrum};
use crate::editor::mesh::Boxes;
use crate::editor::{marks, palette, typeface};

/// The levels that the height spans, dB of mean square a bin.
const TOP_DB: f32 = -18.0;
const BOTTOM_DB: f32 = -90.0;
/// The reduction that the height spans, from a twelfth of the plot downwards, dB.
const DEEPEST_DB: f32 = 24.0;
/// Frequencies that are ruled, with their words.
const RULED: [(f32, &str); 7] = [
    (200.0, "200"),
    (500.0, "500"),
    (1000.0, "1k"),
    (2000.0, "2k"),
    (5000.0, "5k"),
    (10_000.0, "10k"),
    (20_000.0, "Hz"),
];
/// Between two strokes of the hatch under the sibilant, points.
const HATCH: f32 = 4.0;
/// Points of the curve of the reduction.
const CURVE_POINTS: usize = 64;

fn y(place: &Spectrum, db: f32) -> f32 {
    let down = (TOP_DB - db) / (TOP_DB - BOTTOM_DB);
    place.plot.top() + place.plot.height() * down.clamp(0.0, 1.0)
}

/// The height of a reduction, on the right-hand scale.
fn gain_y(place: &Spectrum, db: f32) -> f32 {
    let (top, height) = (place.plot.top(), place.plot.height());
    top + height / 12.0 + height * 10.0 / 12.0 * (-db / DEEPEST_DB).clamp(0.0, 1.0)
}

/// The empty sheet with its scales.
pub fn sheet(ui: &Ui, place: &Spectrum) {
    let painter = ui.painter();
    marks::edge(painter, place.frame);
    for (hz, word) in RULED {
        let x = place.x(hz);
        painter.vline(x, place.plot.y_range(), Stroke::new(1.0, palette::GUIDE));
        let at = pos2(x.min(place.frame.right() - 12.0), place.plot.bottom() + 10.0);
        painter.text(at, Align2::CENTER_CENTER, word, typeface::small(), palette::FAINT);
    }
    for db in [0.0, -6.0, -12.0, -18.0, -24.0] {
        let at = pos2(place.plot.left() - 5.0, gain_y(place, db));
        painter.hline(place.plot.x_range(), at.y, Stroke::new(1.0, palette::GUIDE));
        let word = if db == 0.0 {
            "0 dB".to_owned()
        } else {
            format!("{db:.0}")
        };
        painter.text(at, Align2::RIGHT_CENTER, word, typeface::small(), palette::FAINT);
    }
}

/// The last sibilant, hatched, and the voice as an outline.
pub fn curves(ui: &Ui, place: &Spectrum, held: &Held) {
    let painter = ui.painter_at(place.plot);
    if let Some(sibilant) = &held.sibilant {
        let line = points(place, sibilant);
        painter.add(hatch(place, &line));
        painter.line(line, Stroke::new(1.5, palette::SIBILANT));
    }
    if let Some(voice) = &held.voice {
        painter.line(points(place, voice), Stroke::new(1.5, palette::VOICE));
    }
}

fn points(place: &Spectrum, powers: &Powers) -> Vec<Pos2> {
    powers
        .points()
        .filter(|(hz, _)| (LOWEST_HZ..=HIGHEST_HZ).contains(hz))
        .map(|(hz, db)| pos2(place.x(hz), y(place, db)))
        .collect()
}

/// Upright strokes from the foot to the line.
fn hatch(place: &Spectrum, line: &[Pos2]) -> Boxes {
    let foot = place.plot.bottom();
    let mut strokes = Boxes::default();
    for pair in line.windows(2) {
        let mut x = (pair[0].x / HATCH).ceil() * HATCH;
        while x < pair[1].x {
            let along = (x - pair[0].x) / (pair[1].x - pair[0].x).max(0.01);
            let top = pair[0].y + (pair[1].y - pair[0].y) * along;
            strokes.stroke(x, (top, foot), 1.0, palette::SIBILANT);
            x += HATCH;
        }
    }
    strokes
}

/// The curve of the reduction: strong while it is applied, dashed where it is that of the last sibilant.
pub fn reduction(ui: &Ui, place: &Spectrum, curve: Curve, settings: &SibilanceSettings, sample_rate_hz: f32) {
    let highest_hz = HIGHEST_HZ.min(0.45 * sample_rate_hz);
    let hz =
        |index: usize| LOWEST_HZ * (highest_hz / LOWEST_HZ).powf(index as f32 / (CURVE_POINTS - 1) as f32);
    let line: Vec<Pos2> = (0..CURVE_POINTS)
        .map(|index| {
            let gain_db = sibilance_gain_db(settings, curve.shape, f64::from(sample_rate_hz), hz(index));
            pos2(place.x(hz(index)), gain_y(place, gain_db))
        })
        .collect();
    let painter = ui.painter_at(place.plot);
    if curve.applied_now {
        painter.line(line, Stroke::new(2.5, palette::TAKEN));
    } else {
        painter.extend(Shape::dashed_line(
            &line,
            Stroke::new(1.5, palette::TAKEN),
            5.0,
            3.0,
        ));
    }
}

/// The edge of detection, with its grip and its frequency.
pub fn edge(ui: &Ui, place: &Spectrum, from_hz: f32, lit: bool) {
    let x = place.x(from_hz);
    let ink = if lit { palette::INK } else { palette::THRESHOLD };
    let painter = ui.painter();
    painter.vline(x, place.plot.y_range(), Stroke::new(2.0, ink));
    let grip = pos2(x, place.plot.bottom());
    painter.add(Shape::convex_polygon(
        marks::triangle(grip - egui::vec2(0.0, 4.0), 7.0, true),
        ink,
        Stroke::NONE,
    ));
    let words = crate::readout::hertz(from_hz);
    let right = x < place.plot.center().x;
    let (at, align) = if right {
        (pos2(x + 6.0, place.plot.bottom() - 10.0), Align2::LEFT_CENTER)
    } else {
        (pos2(x - 6.0, place.plot.bottom() - 10.0), Align2::RIGHT_CENTER)
    };
    let galley = painter.layout_no_wrap(words, typeface::strong(), ink);
    let area = align.anchor_size(at, galley.size());
    painter.rect_filled(area.expand(2.0), 2.0, palette::PAPER);
    painter.galley(area.min, galley, ink);
}

/// What the shapes mean, or what lies under the pointer.
pub fn reading(ui: &Ui, place: &Spectrum, pointer: Option<Pos2>, curve: Curve) {
    let painter = ui.painter_at(place.reading);
    let at = place.reading.left_center();
    if let Some(pointer) = pointer {
        let words = format!(
            "{}   reduction {}",
            crate::readout::hertz(place.hz(pointer.x)),
            if curve.applied_now {
                "as applied now"
            } else {
                "of the last sibilant"
            }
        );
        painter.text(at, Align2::LEFT_CENTER, words, typeface::text(), palette::INK);
        return;
    }
    let mut x = at.x;
    for (word, stroke, dashed) in [
        ("voice", Stroke::new(1.5, palette::VOICE), false),
        ("last sibilant", Stroke::new(1.5, palette::SIBILANT), true),
        ("reduction", Stroke::new(2.5, palette::TAKEN), false),
    ] {
        painter.hline(x..=x + 12.0, at.y - 3.0, stroke);
        if dashed {
            for stroke_x in [x + 1.0, x + 5.0, x + 9.0] {
                painter.vline(
                    stroke_x,
                    at.y - 3.0..=at.y + 5.0,
                    Stroke::new(1.0, palette::SIBILANT),
                );
            }
        }
        let drawn = painter.text(
            pos2(x + 16.0, at.y),
            Align2::LEFT_CENTER,
            word,
            typeface::small(),
            palette::FAINT,
        );
        x = drawn.right() + 12.0;
    }
}
