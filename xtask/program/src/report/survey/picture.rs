//! The whole song in one picture: voice level, threshold, sections, and a mark for every sibilant.

use anyhow::Result;
use plotters::prelude::*;
use siskin_dsp::SongSection;

use super::listen::{CELL_S, Heard};
use super::sibilants::Event;
use crate::report::drawing::{Area, INK, SIBILANT, THRESHOLD, VOICE, chart, picture, text};

/// Width and height, pixels.
pub const SIZE: (u32, u32) = (1200, 320);
/// Points of a line, and places for a mark, over the whole song: finer than a pixel.
const POINTS: usize = 1200;
/// A mark reaches so far beyond both levels, LU: a sibilant that leaves as it comes is seen, too.
const MARK_LU: f32 = 0.4;
/// What is drawn, LUFS.
const LEVELS_LUFS: std::ops::Range<f64> = -60.0..0.0;

/// The picture of a track of `end_s` seconds.
pub fn draw(heard: &Heard, sections: &[SongSection], end_s: f64) -> Result<String> {
    picture(SIZE, |area| paint(area, heard, sections, end_s))
}

fn paint(area: &Area<'_>, heard: &Heard, sections: &[SongSection], end_s: f64) -> Result<()> {
    let caption =
        "Line: voice level; dashes: threshold; marks: each sibilant from its level down to where it leaves";
    let time = (Some("seconds"), 0.0..end_s);
    let mut chart = chart(area, (caption, 36), time, ("LUFS", LEVELS_LUFS))?;
    let marks = drawn(&heard.events, end_s).into_iter().map(|event| {
        let level = |lu: f32| f64::from(event.voice_lufs + lu);
        let at_s = f64::from(event.start_s + event.end_s) / 2.0;
        PathElement::new(
            vec![
                (at_s, level(event.before_lu + MARK_LU)),
                (at_s, level(event.left_lu - MARK_LU)),
            ],
            SIBILANT.mix(0.6).stroke_width(2),
        )
    });
    chart.draw_series(marks)?;
    let step = heard.cells.len().div_ceil(POINTS).max(1);
    let cells = || heard.cells.iter().enumerate().step_by(step);
    let at_s = |cell: usize| f64::from(CELL_S) * (cell as f64 + 0.5);
    let voice = cells().filter(|(_, cell)| cell.voice_lufs.is_finite());
    let voice = voice.map(|(index, cell)| (at_s(index), f64::from(cell.voice_lufs)));
    chart.draw_series(LineSeries::new(voice, VOICE.stroke_width(2)))?;
    let threshold = cells().filter(|(_, cell)| cell.threshold_lufs.is_finite());
    let threshold = threshold.map(|(index, cell)| (at_s(index), f64::from(cell.threshold_lufs)));
    chart.draw_series(DashedLineSeries::new(threshold, 6, 4, THRESHOLD.stroke_width(1)))?;
    for (index, section) in sections.iter().enumerate() {
        let at_s = f64::from(section.start_s);
        let line = [LEVELS_LUFS.start, LEVELS_LUFS.end].map(|level| (at_s, level));
        let line = PathElement::new(line, INK.mix(0.4));
        chart.draw_series([line])?;
        let number =
            EmptyElement::at((at_s, LEVELS_LUFS.end)) + Text::new((index + 1).to_string(), (4, 4), text(13));
        chart.draw_series([number])?;
    }
    Ok(())
}

/// Of the events in one place, the one that sticks out most.
fn drawn(events: &[Event], end_s: f64) -> Vec<Event> {
    let place = |event: &Event| (f64::from(event.start_s) / end_s * POINTS as f64) as usize;
    let most = |events: &[Event]| {
        events
            .iter()
            .copied()
            .max_by(|a, b| a.before_lu.total_cmp(&b.before_lu))
    };
    events
        .chunk_by(|a, b| place(a) == place(b))
        .filter_map(most)
        .collect()
}
