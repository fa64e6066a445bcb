//! Pictures as SVG elements, drawn by `plotters`.

use anyhow::{Context, Result};
use plotters::coord::Shift;
use plotters::coord::ranged1d::{AsRangedCoord, ValueFormatter};
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::*;
use siskin_editor_layout::palette::LIGHT;

/// The paper. Every meaning has the colour that it has in the editor.
pub const PAPER: RGBColor = rgb(LIGHT.paper.to_array());
/// Letters and axes.
pub const INK: RGBColor = rgb(LIGHT.ink.to_array());
/// Lines of the grid.
pub const GRID: RGBColor = rgb(LIGHT.grid.to_array());
/// What is there to be compared with.
pub const OTHERS: RGBColor = rgb(LIGHT.edge.to_array());
/// Level of the voice.
pub const VOICE: RGBColor = rgb(LIGHT.voice.to_array());
/// The area below it.
pub const VOICE_AREA: RGBColor = rgb(LIGHT.voice_area.to_array());
/// The threshold.
pub const THRESHOLD: RGBColor = rgb(LIGHT.threshold.to_array());
/// Sibilants.
pub const SIBILANT: RGBColor = rgb(LIGHT.sibilant.to_array());
/// What is taken away.
pub const REDUCTION: RGBColor = rgb(LIGHT.reduction.to_array());
/// Breaths.
pub const BREATH: RGBColor = rgb(LIGHT.breath.to_array());
/// What is chosen.
pub const SELECTED: RGBColor = rgb(LIGHT.focus.to_array());

const fn rgb([red, green, blue, _]: [u8; 4]) -> RGBColor {
    RGBColor(red, green, blue)
}

/// What is drawn on.
pub type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
/// A chart with its axes, linear ones if nothing else is said.
pub type Chart<'a, 'b, X = RangedCoordf64, Y = RangedCoordf64> =
    ChartContext<'a, SVGBackend<'b>, Cartesian2d<X, Y>>;

/// Around a chart, and for the numbers at its left, pixels.
const MARGIN: u32 = 12;
const NUMBERS: u32 = 56;

/// Where the horizontal axis of a chart that fills a picture of this width begins and ends, as shares of the width.
pub fn edges(width: u32) -> [f64; 2] {
    [MARGIN + NUMBERS, width - MARGIN].map(|pixel| f64::from(pixel) / f64::from(width))
}

/// One SVG element, which scales with the page.
pub fn picture(size: (u32, u32), paint: impl FnOnce(&Area<'_>) -> Result<()>) -> Result<String> {
    let mut svg = String::new();
    let draw = || {
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        area.fill(&PAPER)?;
        paint(&area)?;
        area.present()?;
        anyhow::Ok(())
    };
    draw().context("a picture cannot be drawn")?;
    Ok(svg)
}

/// A chart with axes, under its caption, if any; `below` is the room for what lies below, pixels. Without a name for it the
/// horizontal axis has no numbers.
pub fn chart<'a, 'b, X, Y>(
    area: &'a Area<'b>,
    (caption, below): (&str, u32),
    (x_name, x): (Option<&str>, X),
    (y_name, y): (&str, Y),
) -> Result<Chart<'a, 'b, X::CoordDescType, Y::CoordDescType>>
where
    X: AsRangedCoord<Value = f64>,
    Y: AsRangedCoord<Value = f64>,
    X::CoordDescType: ValueFormatter<f64>,
    Y::CoordDescType: ValueFormatter<f64>,
{
    let mut builder = ChartBuilder::on(area);
    if !caption.is_empty() {
        builder.caption(caption, text(17));
    }
    builder
        .margin(MARGIN)
        .x_label_area_size(below)
        .y_label_area_size(NUMBERS);
    let mut chart = builder.build_cartesian_2d(x, y)?;
    let mut mesh = chart.configure_mesh();
    mesh.light_line_style(PAPER).bold_line_style(GRID).axis_style(INK);
    mesh.label_style(text(13)).y_desc(y_name).y_labels(6);
    match x_name {
        Some(name) => mesh.x_desc(name),
        None => mesh.disable_x_mesh().x_labels(0),
    };
    mesh.draw()?;
    Ok(chart)
}

/// The style of a text.
pub fn text(size_px: u32) -> TextStyle<'static> {
    ("sans-serif", size_px).into_font().color(&INK)
}
