//! Pictures as SVG: the way of the levels through the song, the proportion of each section, an s before and after.

use anyhow::{Result, anyhow};
use plotters::coord::Shift;
use plotters::prelude::*;
use siskin_dsp::{Class, HopReport, SibilanceSettings};
use siskin_tests::measure::spectrum_db;
use siskin_tests::voices::{Kind, Section, Song};

use super::chain::{Renderings, from_hz};
use super::figures::Figures;

/// Ink on paper: each at least 4.5 : 1 against the paper, told apart by dash and label as well as by colour.
const PAPER: RGBColor = RGBColor(250, 248, 243);
const INK: RGBColor = RGBColor(38, 42, 48);
const GRID: RGBColor = RGBColor(222, 218, 208);
const OTHERS: RGBColor = RGBColor(112, 116, 122);
const VOICE: RGBColor = RGBColor(30, 92, 116);
const THRESHOLD: RGBColor = RGBColor(140, 62, 20);
const SIBILANT: RGBColor = RGBColor(104, 46, 128);

/// The finished pictures, each one SVG element.
pub struct Pictures {
    pub timeline: String,
    pub bars: String,
    pub spectrum: String,
}

/// Hops from one drawn point to the next: 16 ms for lines, 4 ms for sibilants, finer than a pixel of the picture.
const LINE_HOPS: usize = 12;
const MARK_HOPS: usize = 3;

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;

/// Draws them all.
pub fn draw(
    song: &Song,
    renderings: &Renderings,
    trace: &[HopReport],
    figures: &Figures,
) -> Result<Pictures> {
    Ok(Pictures {
        timeline: picture((1100, 560), |area| timeline(area, song, trace))?,
        bars: picture((1100, 360), |area| bars(area, figures))?,
        spectrum: picture((1100, 380), |area| spectrum(area, song, renderings))?,
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

fn failed(error: impl std::fmt::Display) -> anyhow::Error {
    anyhow!("a picture cannot be drawn: {error}")
}

fn text(size_px: u32) -> TextStyle<'static> {
    ("sans-serif", size_px).into_font().color(&INK)
}

/// Above, levels over time; below, the reduction.
fn timeline(area: &Area<'_>, song: &Song, trace: &[HopReport]) -> Result<()> {
    let (levels, reduction) = area.split_vertically(390);
    let time_s = |report: &HopReport| report.centre_sample as f64 / song.sample_rate_hz;
    let end_s = song.duration_s();
    let mut chart = ChartBuilder::on(&levels)
        .caption(
            "Voice level, adaptive threshold and sibilants over the song",
            text(17),
        )
        .margin(12)
        .x_label_area_size(8)
        .y_label_area_size(56)
        .build_cartesian_2d(0.0..end_s, -50f64..-5.0)
        .map_err(failed)?;
    chart
        .configure_mesh()
        .light_line_style(PAPER)
        .bold_line_style(GRID)
        .axis_style(INK)
        .label_style(text(13))
        .x_labels(0)
        .y_desc("LUFS")
        .draw()
        .map_err(failed)?;
    let sibilants = trace
        .iter()
        .step_by(MARK_HOPS)
        .filter(|report| report.class == Class::Sibilant && report.sibilance_lufs > -50.0);
    chart
        .draw_series(sibilants.clone().map(|report| {
            let (input, gain_db) = (
                f64::from(report.sibilance_lufs),
                f64::from(report.sibilance_gain_db),
            );
            PathElement::new(
                vec![(time_s(report), input), (time_s(report), input + gain_db)],
                SIBILANT.mix(0.35),
            )
        }))
        .map_err(failed)?
        .label("sibilant: from its level down to where it is brought")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 22, y)], SIBILANT.stroke_width(5)));
    let line = |say: fn(&HopReport) -> f32| {
        trace
            .iter()
            .step_by(LINE_HOPS)
            .filter(|report| report.voice_heard)
            .map(move |report| (time_s(report), f64::from(say(report))))
    };
    chart
        .draw_series(LineSeries::new(
            line(|report| report.voice_lufs),
            VOICE.stroke_width(2),
        ))
        .map_err(failed)?
        .label("voice level")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 22, y)], VOICE.stroke_width(2)));
    chart
        .draw_series(DashedLineSeries::new(
            line(|report| report.threshold_lufs),
            6,
            4,
            THRESHOLD.stroke_width(2),
        ))
        .map_err(failed)?
        .label("adaptive threshold (dashed)")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 10, y)], THRESHOLD.stroke_width(2)));
    for section in Section::ALL {
        let at_s = song.section_span(section).start as f64 / song.sample_rate_hz;
        chart
            .draw_series([EmptyElement::at((at_s, -6.0))
                + Text::new(section.name().to_owned(), (6, 0), text(14))
                + PathElement::new(vec![(0, 0), (0, 300)], INK.mix(0.5))])
            .map_err(failed)?;
    }
    chart
        .configure_series_labels()
        .position(SeriesLabelPosition::LowerLeft)
        .background_style(PAPER)
        .border_style(GRID)
        .label_font(text(13))
        .draw()
        .map_err(failed)?;
    reduction_lane(&reduction, end_s, trace, time_s)
}

fn reduction_lane(
    area: &Area<'_>,
    end_s: f64,
    trace: &[HopReport],
    time_s: impl Fn(&HopReport) -> f64,
) -> Result<()> {
    let mut chart = ChartBuilder::on(area)
        .margin(12)
        .x_label_area_size(36)
        .y_label_area_size(56)
        .build_cartesian_2d(0.0..end_s, -14f64..0.0)
        .map_err(failed)?;
    chart
        .configure_mesh()
        .light_line_style(PAPER)
        .bold_line_style(GRID)
        .axis_style(INK)
        .label_style(text(13))
        .y_labels(4)
        .x_desc("seconds")
        .y_desc("reduction, dB")
        .draw()
        .map_err(failed)?;
    let points = trace
        .iter()
        .step_by(MARK_HOPS)
        .map(|report| (time_s(report), f64::from(report.sibilance_gain_db)));
    chart
        .draw_series(LineSeries::new(points, SIBILANT.stroke_width(1)))
        .map_err(failed)?;
    Ok(())
}

/// Proportion of each rendering in each section.
fn bars(area: &Area<'_>, figures: &Figures) -> Result<()> {
    let letters = ['a', 'b', 'c', 'd', 'e'];
    let groups = Section::ALL.len() as f64;
    let mut chart = ChartBuilder::on(area)
        .caption(
            "Sibilants above or below the voice (bars: mean proportion; line: Proportion as set)",
            text(17),
        )
        .margin(12)
        .x_label_area_size(32)
        .y_label_area_size(56)
        .build_cartesian_2d(0.0..groups, -18f64..3.0)
        .map_err(failed)?;
    chart
        .configure_mesh()
        .light_line_style(PAPER)
        .bold_line_style(GRID)
        .axis_style(INK)
        .label_style(text(13))
        .disable_x_mesh()
        .x_labels(0)
        .y_desc("LU")
        .draw()
        .map_err(failed)?;
    for (group, section) in Section::ALL.into_iter().enumerate() {
        for (place, letter) in letters.into_iter().enumerate() {
            let Some(row) = figures.row(letter, section) else {
                continue;
            };
            let left = group as f64 + 0.08 + 0.17 * place as f64;
            let value = f64::from(row.proportion_lu).clamp(-18.0, 3.0);
            let ink = if letter == 'd' || letter == 'e' {
                VOICE
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
        .draw_series(DashedLineSeries::new(
            [(0.0, level), (groups, level)],
            6,
            4,
            THRESHOLD.stroke_width(2),
        ))
        .map_err(failed)?;
    Ok(())
}

/// The verse's longest s, before and after Siskin.
fn spectrum(area: &Area<'_>, song: &Song, renderings: &Renderings) -> Result<()> {
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
    let mut chart = ChartBuilder::on(area)
        .caption("An s of the verse before and after Siskin", text(17))
        .margin(12)
        .x_label_area_size(36)
        .y_label_area_size(56)
        .build_cartesian_2d((200f64..20_000.0).log_scale(), top - 54.0..top)
        .map_err(failed)?;
    chart
        .configure_mesh()
        .light_line_style(PAPER)
        .bold_line_style(GRID)
        .axis_style(INK)
        .label_style(text(13))
        .x_desc("Hz")
        .y_desc("dB")
        .draw()
        .map_err(failed)?;
    chart
        .draw_series(DashedLineSeries::new(before, 6, 4, THRESHOLD.stroke_width(2)))
        .map_err(failed)?
        .label("before (dashed)")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 10, y)], THRESHOLD.stroke_width(2)));
    chart
        .draw_series(LineSeries::new(after, VOICE.stroke_width(2)))
        .map_err(failed)?
        .label("after")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 22, y)], VOICE.stroke_width(2)));
    chart
        .draw_series([PathElement::new(
            vec![(from_hz(), top - 54.0), (from_hz(), top)],
            INK.mix(0.5),
        )])
        .map_err(failed)?
        .label("Detect from")
        .legend(|(x, y)| PathElement::new(vec![(x + 10, y - 6), (x + 10, y + 6)], INK));
    chart
        .configure_series_labels()
        .position(SeriesLabelPosition::UpperLeft)
        .background_style(PAPER)
        .border_style(GRID)
        .label_font(text(13))
        .draw()
        .map_err(failed)?;
    Ok(())
}
