//! Pictures as SVG elements, drawn by `plotters`.

use anyhow::{Result, anyhow};
use plotters::coord::Shift;
use plotters::prelude::*;

/// Ink on paper: each at least 4.5 : 1 against the paper, distinguished by dash, height or label as well as by colour.
pub const PAPER: RGBColor = RGBColor(250, 248, 243);
pub const INK: RGBColor = RGBColor(38, 42, 48);
pub const GRID: RGBColor = RGBColor(222, 218, 208);
pub const OTHERS: RGBColor = RGBColor(104, 108, 114);
pub const VOICE: RGBColor = RGBColor(30, 92, 116);
pub const THRESHOLD: RGBColor = RGBColor(140, 62, 20);
pub const SIBILANT: RGBColor = RGBColor(104, 46, 128);

/// What is drawn on.
pub type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
/// Linear axes with their chart.
pub type Chart<'a, 'b> = ChartContext<
    'a,
    SVGBackend<'b>,
    Cartesian2d<plotters::coord::types::RangedCoordf64, plotters::coord::types::RangedCoordf64>,
>;

/// One SVG element, which scales with the page.
pub fn picture(size: (u32, u32), paint: impl FnOnce(&Area<'_>) -> Result<()>) -> Result<String> {
    let mut svg = String::new();
    {
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        area.fill(&PAPER).map_err(failed)?;
        paint(&area)?;
        area.present().map_err(failed)?;
    }
    Ok(svg)
}

/// An error of the drawing library; it has no common type.
pub fn failed(error: impl std::fmt::Display) -> anyhow::Error {
    anyhow!("a picture cannot be drawn: {error}")
}

/// The style of a text.
pub fn text(size_px: u32) -> TextStyle<'static> {
    ("sans-serif", size_px).into_font().color(&INK)
}
