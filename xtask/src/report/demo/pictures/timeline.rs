//! The way of the levels through the song.

use anyhow::Result;
use plotters::prelude::*;
use siskin_dsp::{Class, HopReport};
use siskin_tests::measurement::voices::singer::{Section, Song};

use super::key;
use crate::report::drawing::{Area, INK, REDUCTION, SIBILANT, THRESHOLD, VOICE, VOICE_AREA, chart, text};

/// Hops from one drawn point to the next: 16 ms for lines, 4 ms for sibilants, finer than a pixel of the picture.
const LINE_HOPS: usize = 12;
const MARK_HOPS: usize = 3;
/// Foot of the level scale, LUFS.
const BOTTOM_LUFS: f64 = -50.0;

/// Above, levels over time; below, the reduction.
pub fn draw(area: &Area<'_>, song: &Song, trace: &[HopReport]) -> Result<()> {
    let (levels, reduction) = area.split_vertically(390);
    let time_s = |report: &HopReport| report.centre_sample as f64 / song.sample_rate_hz;
    let end_s = song.duration_s();
    let caption = "Voice level, adaptive threshold and sibilants over the song";
    let levels_lufs = ("LUFS", BOTTOM_LUFS..-5.0);
    let mut above = chart(&levels, (caption, 8), (None, 0.0..end_s), levels_lufs)?;
    let line = |say: fn(&HopReport) -> f32| {
        trace
            .iter()
            .step_by(LINE_HOPS)
            .filter(|report| report.voice_detected)
            .map(move |report| (time_s(report), f64::from(say(report))))
    };
    let mut area: Vec<_> = line(|report| report.voice_lufs).collect();
    if let (Some((from_s, _)), Some((until_s, _))) = (area.first().copied(), area.last().copied()) {
        area.extend([(until_s, BOTTOM_LUFS), (from_s, BOTTOM_LUFS)]);
    }
    above.draw_series([Polygon::new(area, VOICE_AREA.filled())])?;
    above
        .draw_series(LineSeries::new(
            line(|report| report.voice_lufs),
            VOICE.stroke_width(2),
        ))?
        .label("voice level")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 22, y)], VOICE.stroke_width(2)));
    let sibilants = trace
        .iter()
        .step_by(MARK_HOPS)
        .filter(|report| report.class == Class::Sibilant && f64::from(report.sibilance_lufs) > BOTTOM_LUFS);
    above
        .draw_series(sibilants.clone().map(|report| {
            let (input, gain_db) = (
                f64::from(report.sibilance_lufs),
                f64::from(report.sibilance_gain_db),
            );
            PathElement::new(
                vec![(time_s(report), input), (time_s(report), input + gain_db)],
                SIBILANT.mix(0.6),
            )
        }))?
        .label("sibilant: from its level down to where it is brought")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 22, y)], SIBILANT.stroke_width(5)));
    above
        .draw_series(LineSeries::new(
            line(|report| report.threshold_lufs),
            THRESHOLD.stroke_width(2),
        ))?
        .label("adaptive threshold")
        .legend(|(x, y)| PathElement::new(vec![(x, y), (x + 22, y)], THRESHOLD.stroke_width(2)));
    for section in Section::ALL {
        let at_s = song.section_span(section).start as f64 / song.sample_rate_hz;
        above.draw_series([EmptyElement::at((at_s, -6.0))
            + Text::new(section.name().to_owned(), (6, 0), text(14))
            + PathElement::new(vec![(0, 0), (0, 300)], INK.mix(0.5))])?;
    }
    key(&mut above, SeriesLabelPosition::LowerLeft)?;
    reduction_lane(&reduction, end_s, trace, time_s)
}

fn reduction_lane(
    area: &Area<'_>,
    end_s: f64,
    trace: &[HopReport],
    time_s: impl Fn(&HopReport) -> f64,
) -> Result<()> {
    let time = (Some("seconds"), 0.0..end_s);
    let mut lane = chart(area, ("", 36), time, ("reduction, dB", -14.0..0.0))?;
    let points = trace
        .iter()
        .step_by(MARK_HOPS)
        .map(|report| (time_s(report), f64::from(report.sibilance_gain_db)));
    lane.draw_series(LineSeries::new(points, REDUCTION.stroke_width(1)))?;
    Ok(())
}
