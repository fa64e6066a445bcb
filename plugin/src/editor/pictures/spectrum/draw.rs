//! Drawing of the spectrum.

use egui::{Align2, Pos2, Shape, Stroke, Ui, pos2};
use siskin_dsp::{SibilanceSettings, SibilanceShelf, sibilance_gain_db};
use siskin_editor_layout::{HIGHEST_HZ, LOWEST_HZ, Spectrum};

use crate::editor::model::spectra::MeanSpectrum;
use crate::editor::widgets::mesh::BoxMesh;
use crate::editor::widgets::palette::{self, Palette};
use crate::editor::widgets::{marks, typeface};

/// Range of levels over the height of the plot, dB of mean square per bin.
const TOP_DB: f32 = -18.0;
const BOTTOM_DB: f32 = -90.0;
/// Range of reductions over ten twelfths of the plot, dB.
const MAX_REDUCTION_DB: f32 = 24.0;
/// Frequencies of the grid, Hz, with their labels.
const GRID_HZ: [(f32, &str); 7] = [
    (200.0, "200"),
    (500.0, "500"),
    (1000.0, "1k"),
    (2000.0, "2k"),
    (5000.0, "5k"),
    (10_000.0, "10k"),
    (20_000.0, "Hz"),
];
/// Distance of the hatch strokes under the sibilant, points.
const HATCH_STEP: f32 = 4.0;
/// Points of the reduction curve.
const CURVE_POINTS: usize = 64;

/// The reduction curve that is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReductionCurve {
    /// Whether it is applied now; otherwise it is that of a past sibilant.
    pub is_current: bool,
    /// Depth, dB, and edge, Hz.
    pub shape: (f32, f32),
}

impl ReductionCurve {
    /// The gain at a frequency, dB.
    pub fn gain_db(&self, settings: &SibilanceSettings, sample_rate_hz: f32, hz: f32) -> f32 {
        let (gain_db, edge_hz) = self.shape;
        let shelf = SibilanceShelf { gain_db, edge_hz };
        sibilance_gain_db(settings, shelf, f64::from(sample_rate_hz), hz)
    }
}

/// The two spectra that are drawn.
#[derive(Debug, Clone, Copy, Default)]
pub struct Curves<'a> {
    /// Running mean of the voice.
    pub voice: Option<&'a MeanSpectrum>,
    /// The last sibilant, or the one at the pointer.
    pub sibilant: Option<&'a MeanSpectrum>,
}

fn y(area: &Spectrum, db: f32) -> f32 {
    let down = (TOP_DB - db) / (TOP_DB - BOTTOM_DB);
    area.plot.top() + area.plot.height() * down.clamp(0.0, 1.0)
}

/// Vertical position of a gain.
fn gain_y(area: &Spectrum, db: f32) -> f32 {
    let (top, height) = (area.plot.top(), area.plot.height());
    top + height / 12.0 + height * 10.0 / 12.0 * (-db / MAX_REDUCTION_DB).clamp(0.0, 1.0)
}

/// Draws frame, grid and scales.
pub fn grid(ui: &Ui, area: &Spectrum) {
    let colours = palette::of(ui.ctx());
    let painter = ui.painter();
    marks::edge(painter, area.frame);
    for (hz, word) in GRID_HZ {
        let x = area.x(hz);
        painter.vline(x, area.plot.y_range(), Stroke::new(1.0, colours.grid));
        let at = pos2(x.min(area.frame.right() - 12.0), area.plot.bottom() + 10.0);
        painter.text(
            at,
            Align2::CENTER_CENTER,
            word,
            typeface::text(),
            colours.secondary_ink,
        );
    }
    for db in [0.0, -6.0, -12.0, -18.0, -24.0] {
        let at = pos2(area.plot.left() - 5.0, gain_y(area, db));
        painter.hline(area.plot.x_range(), at.y, Stroke::new(1.0, colours.grid));
        let word = if db == 0.0 {
            "0 dB".to_owned()
        } else {
            format!("{db:.0}")
        };
        painter.text(
            at,
            Align2::RIGHT_CENTER,
            word,
            typeface::text(),
            colours.secondary_ink,
        );
    }
}

/// Draws the last sibilant, hatched, and the voice as an outline.
pub fn curves(ui: &Ui, area: &Spectrum, spectra: Curves<'_>, colours: &Palette) {
    let painter = ui.painter_at(area.plot);
    if let Some(sibilant) = spectra.sibilant {
        let line = points(area, sibilant);
        painter.add(hatch(area, &line, colours));
        painter.line(line, Stroke::new(1.5, colours.sibilant));
    }
    if let Some(voice) = spectra.voice {
        painter.line(points(area, voice), Stroke::new(1.5, colours.voice));
    }
}

fn points(area: &Spectrum, powers: &MeanSpectrum) -> Vec<Pos2> {
    powers
        .points()
        .filter(|(hz, _)| (LOWEST_HZ..=HIGHEST_HZ).contains(hz))
        .map(|(hz, db)| pos2(area.x(hz), y(area, db)))
        .collect()
}

/// Vertical strokes from the bottom to the line.
fn hatch(area: &Spectrum, line: &[Pos2], colours: &Palette) -> BoxMesh {
    let foot = area.plot.bottom();
    let mut strokes = BoxMesh::default();
    for pair in line.windows(2) {
        let mut x = (pair[0].x / HATCH_STEP).ceil() * HATCH_STEP;
        while x < pair[1].x {
            let along = (x - pair[0].x) / (pair[1].x - pair[0].x).max(0.01);
            let top = pair[0].y + (pair[1].y - pair[0].y) * along;
            strokes.stroke(x, (top, foot), 1.0, colours.sibilant);
            x += HATCH_STEP;
        }
    }
    strokes
}

/// Draws the reduction curve: solid while it is applied, dashed where it is that of a past sibilant.
pub fn reduction(
    ui: &Ui,
    area: &Spectrum,
    curve: ReductionCurve,
    settings: &SibilanceSettings,
    sample_rate_hz: f32,
    colours: &Palette,
) {
    let highest_hz = HIGHEST_HZ.min(0.45 * sample_rate_hz);
    let hz =
        |index: usize| LOWEST_HZ * (highest_hz / LOWEST_HZ).powf(index as f32 / (CURVE_POINTS - 1) as f32);
    let line: Vec<Pos2> = (0..CURVE_POINTS)
        .map(|index| {
            let gain_db = curve.gain_db(settings, sample_rate_hz, hz(index));
            pos2(area.x(hz(index)), gain_y(area, gain_db))
        })
        .collect();
    ui.painter_at(area.plot)
        .extend(curve_line(line, curve.is_current, colours));
}

/// A piece of the reduction curve.
pub fn curve_line(line: Vec<Pos2>, is_current: bool, colours: &Palette) -> Vec<Shape> {
    if is_current {
        vec![Shape::line(line, Stroke::new(2.5, colours.reduction))]
    } else {
        Shape::dashed_line(&line, Stroke::new(1.5, colours.reduction), 5.0, 3.0)
    }
}

/// Draws the lower edge of detection with its handle and frequency.
pub fn edge(ui: &Ui, area: &Spectrum, from_hz: f32, active: bool, colours: &Palette) {
    let x = area.x(from_hz);
    let ink = if active { colours.ink } else { colours.threshold };
    let painter = ui.painter();
    painter.vline(x, area.plot.y_range(), Stroke::new(2.0, ink));
    let handle = pos2(x, area.plot.bottom());
    painter.add(Shape::convex_polygon(
        marks::triangle(handle - egui::vec2(0.0, 4.0), 7.0, true),
        ink,
        Stroke::NONE,
    ));
    let text = crate::params::readout::hertz(from_hz);
    let right = x < area.plot.center().x;
    let (at, align) = if right {
        (pos2(x + 6.0, area.plot.bottom() - 10.0), Align2::LEFT_CENTER)
    } else {
        (pos2(x - 6.0, area.plot.bottom() - 10.0), Align2::RIGHT_CENTER)
    };
    let galley = painter.layout_no_wrap(text, typeface::strong(), ink);
    let area = align.anchor_size(at, galley.size());
    painter.rect_filled(area.expand(2.0), 2.0, colours.paper);
    painter.galley(area.min, galley, ink);
}
