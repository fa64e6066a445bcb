//! Text of the spectrum: legend, and values at the pointer.

use egui::{Align2, Painter, Pos2, Stroke, Ui, pos2, vec2};
use siskin_dsp::SibilanceSettings;
use siskin_editor_layout::Spectrum;

use super::draw::{Curves, ReductionCurve, curve_line};
use crate::editor::widgets::palette::Palette;
use crate::editor::widgets::typeface;
use crate::params::readout::{hertz, level};

/// Width of a mark of the legend, points.
const MARK: f32 = 12.0;

/// Draws the mark of each curve with its meaning.
pub fn legend(ui: &Ui, area: &Spectrum, names_pointed: bool, curve: ReductionCurve, colours: &Palette) {
    let painter = ui.painter_at(area.legend);
    let sibilant = if names_pointed {
        "this sibilant"
    } else {
        "last sibilant"
    };
    let mut x = area.legend.left();
    for (index, name) in ["voice", sibilant, "reduction"].into_iter().enumerate() {
        let at = pos2(x, area.legend.center().y);
        mark(&painter, at, index, curve.is_current, colours);
        let (font, ink) = (typeface::small(), colours.secondary_ink);
        let at = at + vec2(MARK + 4.0, 0.0);
        x = painter.text(at, Align2::LEFT_CENTER, name, font, ink).right() + 10.0;
    }
}

/// The mark of voice, sibilant or reduction, from `at` to the right.
fn mark(painter: &Painter, at: Pos2, index: usize, is_current: bool, colours: &Palette) {
    let line = [at, at + vec2(MARK, 0.0)];
    match index {
        0 => {
            painter.line_segment(line, Stroke::new(1.5, colours.voice));
        }
        1 => {
            let top = at.y - 4.0;
            painter.hline(at.x..=at.x + MARK, top, Stroke::new(1.5, colours.sibilant));
            for x in [1.0, 5.0, 9.0] {
                painter.vline(at.x + x, top..=top + 9.0, Stroke::new(1.0, colours.sibilant));
            }
        }
        _ => {
            painter.extend(curve_line(line.to_vec(), is_current, colours));
        }
    }
}

/// Draws frequency, levels and reduction at the pointer.
pub fn values(
    ui: &Ui,
    area: &Spectrum,
    pointer: Pos2,
    (spectra, curve): (Curves<'_>, ReductionCurve),
    (settings, sample_rate_hz): (&SibilanceSettings, f32),
    colours: &Palette,
) {
    let hz = area.hz(pointer.x);
    let x = pointer.x.round() + 0.5;
    ui.painter()
        .vline(x, area.plot.y_range(), Stroke::new(1.0, colours.ink));
    let painter = ui.painter_at(area.values);
    let y = area.values.center().y;
    let mut x = area.values.left();
    let write = |x: f32, text: &str| {
        let at = pos2(x, y);
        let drawn = painter.text(at, Align2::LEFT_CENTER, text, typeface::text(), colours.ink);
        drawn.right()
    };
    x = write(x, &hertz(hz)) + 10.0;
    let level_db = |spectrum: Option<&crate::editor::model::spectra::MeanSpectrum>| {
        spectrum.and_then(|spectrum| spectrum.level_db(hz))
    };
    let gain_db = curve.gain_db(settings, sample_rate_hz, hz);
    let texts = [
        level_db(spectra.voice).map(|db| format!("{db:.0}")),
        level_db(spectra.sibilant).map(|db| format!("{db:.0}")),
        Some(level(gain_db.min(0.0), "dB")),
    ];
    for (index, text) in texts.iter().enumerate() {
        if let Some(text) = text {
            mark(&painter, pos2(x, y), index, curve.is_current, colours);
            x = write(x + MARK + 3.0, text) + 8.0;
        }
    }
}
