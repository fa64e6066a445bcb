//! The proportion of each rendering, section by section.

use anyhow::Result;
use plotters::prelude::*;
use siskin_dsp::SibilanceSettings;
use siskin_tests::measurement::voices::singer::Section;

use super::super::figures::Figures;
use crate::report::drawing::{Area, OTHERS, SIBILANT, THRESHOLD, chart, failed, text};

/// Proportion of each rendering in each section.
pub fn draw(area: &Area<'_>, figures: &Figures) -> Result<()> {
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
            chart
                .draw_series([Rectangle::new([(left, 0.0), (left + 0.13, value)], ink.filled())])
                .map_err(failed)?;
            chart
                .draw_series(
                    [EmptyElement::at((left, value.max(0.0))) + Text::new(label, (0, -17), text(13))],
                )
                .map_err(failed)?;
        }
        chart
            .draw_series([
                EmptyElement::at((group as f64 + 0.38, -18.0)) + Text::new(section.name(), (0, 8), text(15))
            ])
            .map_err(failed)?;
    }
    let level = f64::from(SibilanceSettings::default().proportion_lu);
    chart
        .draw_series(LineSeries::new(
            [(0.0, level), (groups, level)],
            THRESHOLD.stroke_width(2),
        ))
        .map_err(failed)?;
    Ok(())
}
