//! One s before and after.

use anyhow::{Result, anyhow};
use plotters::prelude::*;
use siskin_tests::measurement::figures::properties::from_hz;
use siskin_tests::measurement::levels::spectrum_db;
use siskin_tests::measurement::voices::singer::{Kind, Section, Song};

use super::super::chain::Renderings;
use super::key;
use crate::report::drawing::{Area, SIBILANT, THRESHOLD, chart, failed};

/// The verse's longest s, before and after Siskin.
pub fn draw(area: &Area<'_>, song: &Song, renderings: &Renderings) -> Result<()> {
    let longest = song
        .labels
        .iter()
        .filter(|label| {
            label.section == Section::Verse && label.symbol == "s" && label.kind == Kind::Sibilant
        })
        .map(|label| label.start..label.end)
        .max_by_key(|span| span.len())
        .ok_or_else(|| anyhow!("the verse holds no s"))?;
    let curve = |audio: &[f32]| {
        spectrum_db(&audio[longest.clone()], song.sample_rate_hz)
            .into_iter()
            .filter(|(hz, _)| *hz >= 200.0 && *hz <= 20_000.0)
            .map(|(hz, db)| (f64::from(hz), f64::from(db)))
            .collect::<Vec<_>>()
    };
    let (before, after) = (curve(&renderings.untamed), curve(&renderings.siskin));
    let top = before.iter().fold(f64::MIN, |top, (_, db)| top.max(*db)) + 6.0;
    let caption = ("An s of the verse before and after Siskin", 36);
    let audible = (200f64..20_000.0).log_scale();
    let mut chart = chart(area, caption, (Some("Hz"), audible), ("dB", top - 54.0..top))?;
    chart
        .draw_series(DashedLineSeries::new(before, 6, 4, SIBILANT.stroke_width(2)))
        .map_err(failed)?
        .label("before (dashed)")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 10, y)], SIBILANT.stroke_width(2)));
    chart
        .draw_series(LineSeries::new(after, SIBILANT.stroke_width(2)))
        .map_err(failed)?
        .label("after")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 22, y)], SIBILANT.stroke_width(2)));
    chart
        .draw_series([PathElement::new(
            vec![(from_hz(), top - 54.0), (from_hz(), top)],
            THRESHOLD.stroke_width(2),
        )])
        .map_err(failed)?
        .label("Detect from")
        .legend(|(x, y)| PathElement::new(vec![(x + 10, y - 6), (x + 10, y + 6)], THRESHOLD.stroke_width(2)));
    key(&mut chart, SeriesLabelPosition::UpperLeft)?;
    Ok(())
}
