//! Pictures as SVG: the way of the levels through the song, the proportion of each section, an s before and after.

mod bars;
mod spectrum;
mod timeline;

use anyhow::{Result, anyhow};
use plotters::coord::{CoordTranslate, Shift};
use plotters::prelude::*;
use siskin_dsp::HopReport;
use siskin_tests::measurement::voices::singer::Song;

use super::chain::Renderings;
use super::figures::Figures;

/// Ink on paper: each at least 4.5 : 1 against the paper, told apart by dash and label as well as by colour.
const PAPER: RGBColor = RGBColor(250, 248, 243);
const INK: RGBColor = RGBColor(38, 42, 48);
const GRID: RGBColor = RGBColor(222, 218, 208);
const OTHERS: RGBColor = RGBColor(104, 108, 114);
const VOICE: RGBColor = RGBColor(30, 92, 116);
const THRESHOLD: RGBColor = RGBColor(140, 62, 20);
const SIBILANT: RGBColor = RGBColor(104, 46, 128);

/// The finished pictures, each one SVG element.
pub struct Pictures {
    pub timeline: String,
    pub bars: String,
    pub spectrum: String,
}

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;

/// Draws them all.
pub fn draw(
    song: &Song,
    renderings: &Renderings,
    trace: &[HopReport],
    figures: &Figures,
) -> Result<Pictures> {
    Ok(Pictures {
        timeline: picture((1100, 560), |area| timeline::draw(area, song, trace))?,
        bars: picture((1100, 360), |area| bars::draw(area, figures))?,
        spectrum: picture((1100, 380), |area| spectrum::draw(area, song, renderings))?,
    })
}

fn picture(size: (u32, u32), paint: impl FnOnce(&Area<'_>) -> Result<()>) -> Result<String> {
    let mut svg = String::new();
    {
        let area = SVGBackend::with_string(&mut svg, size).into_drawing_area();
        area.fill(&PAPER).map_err(failed)?;
        paint(&area)?;
        area.present().map_err(failed)?;
    }
    Ok(svg)
}

/// The key to the lines of a chart.
fn key<'a, C>(chart: &mut ChartContext<'a, SVGBackend<'a>, C>, position: SeriesLabelPosition) -> Result<()>
where
    C: CoordTranslate,
{
    chart
        .configure_series_labels()
        .position(position)
        .background_style(PAPER)
        .border_style(GRID)
        .label_font(text(13))
        .draw()
        .map_err(failed)
}

fn failed(error: impl std::fmt::Display) -> anyhow::Error {
    anyhow!("a picture cannot be drawn: {error}")
}

fn text(size_px: u32) -> TextStyle<'static> {
    ("sans-serif", size_px).into_font().color(&INK)
}
