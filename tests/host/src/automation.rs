//! Automation as plain CSV: one line a change, `time_s,id,value`.
//!
//! `time_s` is in seconds from the start of the sound, `id` is a parameter's id, `value` is in its plain unit or one
//! of its words. A change takes place at its time and holds until the next one. The first line may be the heading
//! `time_s,id,value`; empty lines are passed over.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result, bail, ensure};

use crate::ParamEvent;
use crate::clap::Plugin;

const HEADING: &str = "time_s,id,value";

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// The line of the file that it is on, from 1.
    pub line: usize,
    /// Time in seconds from the start of the sound.
    pub time_s: f64,
    /// The parameter's id.
    pub id: String,
    /// The value as it is written.
    pub value: String,
}

/// Reads an automation file. An error is one line for a person, which names the line of the file.
pub fn read(path: &Path) -> Result<Vec<Point>> {
    parse(&fs::read_to_string(path).context("cannot be read")?)
}

/// Reads automation from text.
pub fn parse(text: &str) -> Result<Vec<Point>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut points: Vec<Point> = Vec::new();
    for (index, text) in text.lines().enumerate() {
        let text = text.trim();
        if text.is_empty() || (index == 0 && text == HEADING) {
            continue;
        }
        let point = parse_line(index + 1, text)?;
        let (line, time_s) = (point.line, point.time_s);
        let previous_s = points.last().map_or(0.0, |previous| previous.time_s);
        ensure!(
            previous_s <= time_s,
            "line {line}: {time_s} s comes after {previous_s} s; sort the lines by time"
        );
        points.push(point);
    }
    Ok(points)
}

fn parse_line(line: usize, text: &str) -> Result<Point> {
    let fields: Vec<&str> = text.split(',').map(str::trim).collect();
    let [time, id, value] = fields[..] else {
        bail!("line {line}: \"{text}\" is not {HEADING}");
    };
    let time_s = time
        .parse()
        .ok()
        .filter(|time_s: &f64| time_s.is_finite() && *time_s >= 0.0)
        .with_context(|| format!("line {line}: \"{time}\" is not a time in seconds from 0"))?;
    Ok(Point {
        line,
        time_s,
        id: id.into(),
        value: value.into(),
    })
}

/// The events that bring `points` to `plugin`, each at the sample nearest to its time.
pub fn events(points: &[Point], plugin: &mut Plugin, sample_rate_hz: f64) -> Result<Vec<ParamEvent>> {
    points
        .iter()
        .map(|point| event(point, plugin, sample_rate_hz))
        .collect()
}

fn event(point: &Point, plugin: &mut Plugin, sample_rate_hz: f64) -> Result<ParamEvent> {
    let line = point.line;
    let sample = (point.time_s * sample_rate_hz).round() as usize;
    let event = plugin
        .event(sample, &point.id, &point.value)
        .with_context(|| format!("line {line}"))?;
    ensure!(
        plugin.parameter(&point.id)?.is_automatable(),
        "line {line}: {} cannot be automated; set it for the whole sound instead",
        point.id
    );
    Ok(event)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_become_points() {
        let points = parse("\u{feff}time_s,id,value\r\n0,sib_prop,-9\r\n\r\n1.5, br_on ,on\r\n").unwrap();
        let read: Vec<_> = points
            .iter()
            .map(|point| (point.line, point.time_s, &*point.id, &*point.value))
            .collect();
        assert_eq!(read, [(2, 0.0, "sib_prop", "-9"), (4, 1.5, "br_on", "on")]);
    }

    #[test]
    fn errors_name_their_line() {
        let error = |text: &str| parse(text).unwrap_err().to_string();
        for (text, expected) in [
            ("0,sib_prop", "line 1: \"0,sib_prop\" is not time_s,id,value"),
            ("0,a,1\n0,a,1,2", "line 2: \"0,a,1,2\" is not time_s,id,value"),
            (
                "time_s,id,value\nsoon,a,1",
                "line 2: \"soon\" is not a time in seconds from 0",
            ),
            ("-1,a,1", "line 1: \"-1\" is not a time in seconds from 0"),
            ("nan,a,1", "line 1: \"nan\" is not a time in seconds from 0"),
            (
                "2,a,1\n1,a,1",
                "line 2: 1 s comes after 2 s; sort the lines by time",
            ),
        ] {
            assert_eq!(error(text), expected);
        }
    }
}
