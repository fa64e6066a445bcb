//! Pictures as SVG: the way of the levels through the song, the proportion of each section, an s before and after.

mod charts;
mod timeline;

use anyhow::Result;
use plotters::coord::CoordTranslate;
use plotters::prelude::*;
use siskin_dsp::HopReport;
use siskin_tests::measurement::voices::singer::Song;

use super::chain::Renderings;
use super::figures::Figures;
use crate::report::drawing::{GRID, PAPER, picture, text};

/// Width and height of the timeline, pixels.
pub const TIMELINE: (u32, u32) = (1100, 560);

/// The finished pictures, each one SVG element.
pub struct Pictures {
    pub timeline: String,
    pub bars: String,
    pub spectrum: String,
}

/// Draws them all.
pub fn draw(
    song: &Song,
    renderings: &Renderings,
    trace: &[HopReport],
    figures: &Figures,
) -> Result<Pictures> {
    Ok(Pictures {
        timeline: picture(TIMELINE, |area| timeline::draw(area, song, trace))?,
        bars: picture((1100, 360), |area| charts::bars(area, figures))?,
        spectrum: picture((1100, 380), |area| charts::spectrum(area, song, renderings))?,
    })
}

/// The key to the lines of a chart.
fn key<'a, 'b: 'a, C>(
    chart: &mut ChartContext<'a, SVGBackend<'b>, C>,
    position: SeriesLabelPosition,
) -> Result<()>
where
    C: CoordTranslate,
{
    chart
        .configure_series_labels()
        .position(position)
        .background_style(PAPER)
        .border_style(GRID)
        .label_font(text(13))
        .draw()?;
    Ok(())
}
