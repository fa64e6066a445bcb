//! The proportion of each rendering, section by section; and one s before and after.

use anyhow::{Context, Result};
use plotters::prelude::*;
use siskin_dsp::SibilanceSettings;
use siskin_tests::measurement::figures::properties::from_hz;
use siskin_tests::measurement::levels::spectrum_db;
use siskin_tests::measurement::voices::singer::{Kind, Section, Song};

use super::super::chain::Renderings;
use super::super::figures::Figures;
use super::key;
use crate::report::drawing::{Area, OTHERS, SIBILANT, THRESHOLD, chart, text};

/// Proportion of each rendering in each section.
pub fn bars(area: &Area<'_>, figures: &Figures) -> Result<()> {
    let letters = ['a', 'b', 'c', 'd', 'e'];
    let groups = Section::ALL.len() as f64;
    let caption = "Sibilants above or below the voice (bars: mean proportion; line: Proportion as set)";
    let mut chart = chart(area, (caption, 32), (None, 0.0..groups), ("LU", -18.0..3.0))?;
    for (group, section) in Section::ALL.into_iter().enumerate() {
        for (place, letter) in letters.into_iter().enumerate() {
            let Some(row) = figures.row(letter, section) else {
                continue;
            };
            let left = group as f64 + 0.08 + 0.17 * place as f64;
            let value = f64::from(row.proportion_lu).clamp(-18.0, 3.0);
            let ink = if letter == 'd' || letter == 'e' {
                SIBILANT
            } else {
                OTHERS
            };
            let label = format!("{letter} {value:+.1}");
            chart.draw_series([Rectangle::new([(left, 0.0), (left + 0.13, value)], ink.filled())])?;
            chart.draw_series([
                EmptyElement::at((left, value.max(0.0))) + Text::new(label, (0, -17), text(13))
            ])?;
        }
        chart.draw_series([
            EmptyElement::at((group as f64 + 0.38, -18.0)) + Text::new(section.name(), (0, 8), text(15))
        ])?;
    }
    let level = f64::from(SibilanceSettings::default().proportion_lu);
    chart.draw_series(LineSeries::new(
        [(0.0, level), (groups, level)],
        THRESHOLD.stroke_width(2),
    ))?;
    Ok(())
}

/// The verse's longest s, before and after Siskin.
pub fn spectrum(area: &Area<'_>, song: &Song, renderings: &Renderings) -> Result<()> {
    let longest = song
        .labels
        .iter()
        .filter(|label| {
            label.section == Section::Verse && label.symbol == "s" && label.kind == Kind::Sibilant
        })
        .map(|label| label.start..label.end)
        .max_by_key(|span| span.len())
        .context("the verse holds no s")?;
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
        .draw_series(DashedLineSeries::new(before, 6, 4, SIBILANT.stroke_width(2)))?
        .label("before (dashed)")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 10, y)], SIBILANT.stroke_width(2)));
    chart
        .draw_series(LineSeries::new(after, SIBILANT.stroke_width(2)))?
        .label("after")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 22, y)], SIBILANT.stroke_width(2)));
    chart
        .draw_series([PathElement::new(
            vec![(from_hz(), top - 54.0), (from_hz(), top)],
            THRESHOLD.stroke_width(2),
        )])?
        .label("Detect from")
        .legend(|(x, y)| PathElement::new(vec![(x + 10, y - 6), (x + 10, y + 6)], THRESHOLD.stroke_width(2)));
    key(&mut chart, SeriesLabelPosition::UpperLeft)?;
    Ok(())
}
