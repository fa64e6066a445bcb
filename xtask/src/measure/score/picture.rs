//! One case: its spectrogram with the labels above, the classes and the gain below.

use std::ops::Range;

use anyhow::Result;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};
use siskin_dsp::Class;
use siskin_tests::measurement::figures::detector::{Case, Hearing};
use siskin_tests::measurement::voices::corpus::Recording;

use super::spectrogram::Spectrogram;
use crate::report::drawing::{
    Area, BREATH, Chart, GRID, INK, OTHERS, SELECTED, SIBILANT, VOICE, picture, text,
};

/// How much is shown on either side of the case, s.
const AROUND_S: f64 = 0.3;
/// The picture, pixels; beside the plot are the axes' numbers.
const SIZE: (u32, u32) = (870, 356);
const LEFT: u32 = 76;
const RIGHT: u32 = 24;
/// Height of the labels, of the spectrogram and of the classes; the gain has the rest.
const HEIGHTS: [u32; 3] = [30, 206, 34];
/// Width of a letter, pixels.
const LETTER_WIDTH: f64 = 8.0;
/// Lowest gain that is shown, dB: the default `Range`.
const LOWEST_GAIN_DB: f64 = -12.0;

/// A span of samples, in seconds.
struct Frame {
    rate_hz: f64,
    span: Range<i64>,
}

impl Frame {
    fn seconds(&self) -> Range<f64> {
        self.second(self.span.start)..self.second(self.span.end)
    }

    fn second(&self, sample: i64) -> f64 {
        sample as f64 / self.rate_hz
    }

    /// What of a span is in the picture, s; none where nothing is.
    fn cut(&self, span: Range<i64>) -> Option<Range<f64>> {
        let (start, end) = (span.start.max(self.span.start), span.end.min(self.span.end));
        (start < end).then(|| self.second(start)..self.second(end))
    }

    /// Whether a text fits into a part of the picture.
    fn fits(&self, part: &Range<f64>, text: &str) -> bool {
        let whole = self.seconds();
        let width = f64::from(SIZE.0 - LEFT - RIGHT) * (part.end - part.start) / (whole.end - whole.start);
        width >= LETTER_WIDTH * text.chars().count() as f64
    }

    fn chart<'a, 'b>(&self, area: &'a Area<'b>, below: u32, y: Range<f64>) -> Result<Chart<'a, 'b>> {
        let chart = ChartBuilder::on(area)
            .margin_top(6)
            .margin_right(RIGHT)
            .y_label_area_size(LEFT)
            .x_label_area_size(below)
            .build_cartesian_2d(self.seconds(), y)?;
        Ok(chart)
    }
}

/// The case as an SVG element.
pub fn draw(recording: &Recording, hearing: &Hearing, case: &Case) -> Result<String> {
    let rate_hz = recording.sample_rate_hz;
    let around = (AROUND_S * rate_hz) as i64;
    let case = case.span.start as i64..case.span.end as i64;
    let frame = Frame {
        rate_hz,
        span: case.start - around..case.end + around,
    };
    let mut image = String::new();
    let svg = picture(SIZE, |area| {
        let (labels, rest) = area.split_vertically(HEIGHTS[0]);
        let (plot, rest) = rest.split_vertically(HEIGHTS[1]);
        let (classes, gain) = rest.split_vertically(HEIGHTS[2]);
        draw_labels(&labels, &frame, recording)?;
        image = draw_spectrogram(&plot, &frame, recording, case)?;
        draw_classes(&classes, &frame, hearing)?;
        draw_gain(&gain, &frame, hearing)
    })?;
    // The drawing library has no pictures of pixels in its SVG: one is put on the paper, before all else.
    let paper = svg.find("/>").map_or(0, |end| end + 2);
    Ok(format!("{}{image}{}", &svg[..paper], &svg[paper..]))
}

fn boxed(
    chart: &mut Chart<'_, '_>,
    frame: &Frame,
    part: Range<f64>,
    (height, style): (f64, ShapeStyle),
    word: &str,
) -> Result<()> {
    let corners = [(part.start, 0.0), (part.end, height)];
    chart.draw_series([Rectangle::new(corners, style)])?;
    chart.draw_series([Rectangle::new(corners, INK.stroke_width(1))])?;
    if !word.is_empty() && frame.fits(&part, word) {
        let middle = (part.start.midpoint(part.end), 0.5);
        let style = text(15).pos(Pos::new(HPos::Center, VPos::Center));
        chart.draw_series([Text::new(word.to_owned(), middle, style)])?;
    }
    Ok(())
}

fn draw_labels(area: &Area<'_>, frame: &Frame, recording: &Recording) -> Result<()> {
    let mut chart = frame.chart(area, 0, 0.0..1.0)?;
    area.draw(&Text::new("labels", (8, 12), text(15)))?;
    for phone in &recording.phones {
        if let Some(part) = frame.cut(phone.span.start as i64..phone.span.end as i64) {
            boxed(
                &mut chart,
                frame,
                part,
                (1.0, TRANSPARENT.filled()),
                &phone.symbol,
            )?;
        }
    }
    Ok(())
}

/// Frequencies, the edges of the labels and the frame of the case; the pixels themselves are returned as an SVG element.
fn draw_spectrogram(
    area: &Area<'_>,
    frame: &Frame,
    recording: &Recording,
    case: Range<i64>,
) -> Result<String> {
    let top_khz = Spectrogram::top_hz(frame.rate_hz) / 1e3;
    let mut chart = frame.chart(area, 0, 0.0..top_khz)?;
    chart
        .configure_mesh()
        .disable_mesh()
        .axis_style(INK)
        .label_style(text(15))
        .x_labels(0)
        .y_labels(5)
        .y_label_formatter(&|khz| format!("{khz} kHz"))
        .draw()?;
    let edges = recording
        .phones
        .iter()
        .flat_map(|phone| [phone.span.start, phone.span.end]);
    for edge in edges.filter(|edge| frame.span.contains(&(*edge as i64))) {
        let second = frame.second(edge as i64);
        let line = DashedLineSeries::new([(second, 0.0), (second, top_khz)], 2, 3, OTHERS.into());
        chart.draw_series(line)?;
    }
    let corners = [(frame.second(case.start), 0.0), (frame.second(case.end), top_khz)];
    chart.draw_series([Rectangle::new(corners, SELECTED.stroke_width(3))])?;
    let (x, y) = chart.plotting_area().get_pixel_range();
    let (width, height) = (x.len(), y.len());
    let pixels = Spectrogram::of(&recording.audio, frame.rate_hz, &frame.span, width, height);
    Ok(format!(
        "<image x=\"{}\" y=\"{}\" width=\"{width}\" height=\"{height}\" preserveAspectRatio=\"none\" href=\"{}\"/>",
        x.start,
        y.start,
        pixels.data_uri()?
    ))
}

/// Letter, height and colour of a class: any one of them tells it from the others.
fn sign(class: Class) -> Option<(&'static str, f64, RGBAColor)> {
    match class {
        Class::Sibilant => Some(("S", 1.0, SIBILANT.mix(0.3))),
        Class::Breath => Some(("B", 0.7, BREATH.mix(0.3))),
        Class::Voice => Some(("V", 0.4, VOICE.mix(0.3))),
        _ => None,
    }
}

fn draw_classes(area: &Area<'_>, frame: &Frame, hearing: &Hearing) -> Result<()> {
    let mut chart = frame.chart(area, 0, 0.0..1.0)?;
    area.draw(&Text::new("detected", (8, 12), text(15)))?;
    let half_a_hop = hearing.hop_samples as i64 / 2;
    for run in hearing.reports.chunk_by(|one, two| one.class == two.class) {
        let (Some(first), Some(last)) = (run.first(), run.last()) else {
            continue;
        };
        let span = first.centre_sample - half_a_hop..last.centre_sample + half_a_hop;
        if let (Some((letter, height, colour)), Some(part)) = (sign(first.class), frame.cut(span)) {
            boxed(&mut chart, frame, part, (height, colour.filled()), letter)?;
        }
    }
    Ok(())
}

fn draw_gain(area: &Area<'_>, frame: &Frame, hearing: &Hearing) -> Result<()> {
    let mut chart = frame.chart(area, 30, LOWEST_GAIN_DB..0.0)?;
    chart
        .configure_mesh()
        .light_line_style(TRANSPARENT)
        .bold_line_style(GRID)
        .axis_style(INK)
        .label_style(text(15))
        .y_labels(3)
        .y_label_formatter(&|db| format!("{db} dB"))
        .x_label_formatter(&|second| format!("{second:.1} s"))
        .draw()?;
    let seen = hearing
        .reports
        .iter()
        .filter(|report| frame.span.contains(&report.centre_sample));
    let points = seen.map(|report| {
        let gain_db = f64::from(report.sibilance_gain_db).max(LOWEST_GAIN_DB);
        (frame.second(report.centre_sample), gain_db)
    });
    chart.draw_series(LineSeries::new(points, INK.stroke_width(2)))?;
    Ok(())
}
