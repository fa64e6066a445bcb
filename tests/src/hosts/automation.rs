//! Automation as plain CSV: one line a change, `time_s,id,value`.
//!
//! `time_s` is in seconds from the start of the sound, `id` is a parameter's id, `value` is in its plain unit or one
//! of its words. A change takes place at its time and holds until the next one. The first line may be the heading
//! `time_s,id,value`; empty lines are passed over.

use std::path::Path;
use std::{fs, io};

use crate::hosts::ParamEvent;
use crate::hosts::clap::{HostError, Plugin};

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

/// What can be wrong with automation: one line for a person, complete in itself.
#[derive(Debug, thiserror::Error)]
pub enum AutomationError {
    /// The file cannot be read as text.
    #[error("cannot be read: {0}")]
    Read(io::Error),
    /// A line does not hold three fields.
    #[error("line {line}: \"{text}\" is not {HEADING}")]
    Malformed {
        /// The line, from 1.
        line: usize,
        /// What it says.
        text: String,
    },
    /// A time is no number of seconds.
    #[error("line {line}: \"{text}\" is not a time in seconds from 0")]
    Time {
        /// The line, from 1.
        line: usize,
        /// What it says.
        text: String,
    },
    /// A time lies before the one above it.
    #[error("line {line}: {time_s} s comes after {previous_s} s; sort the lines by time")]
    Unsorted {
        /// The line, from 1.
        line: usize,
        /// Its time.
        time_s: f64,
        /// The time above it.
        previous_s: f64,
    },
    /// The plug-in knows no such parameter or no such value.
    #[error("line {line}: {cause}")]
    Value {
        /// The line, from 1.
        line: usize,
        /// What the plug-in says.
        cause: HostError,
    },
    /// The parameter cannot be automated.
    #[error("line {line}: {id} cannot be automated; set it for the whole sound instead")]
    NotAutomatable {
        /// The line, from 1.
        line: usize,
        /// The parameter.
        id: String,
    },
}

/// Reads an automation file.
pub fn read(path: &Path) -> Result<Vec<Point>, AutomationError> {
    parse(&fs::read_to_string(path).map_err(AutomationError::Read)?)
}

/// Reads automation from text.
pub fn parse(text: &str) -> Result<Vec<Point>, AutomationError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut points: Vec<Point> = Vec::new();
    for (index, text) in text.lines().enumerate() {
        let text = text.trim();
        if text.is_empty() || (index == 0 && text == HEADING) {
            continue;
        }
        let point = parse_line(index + 1, text)?;
        if let Some(previous) = points.last().filter(|previous| previous.time_s > point.time_s) {
            return Err(AutomationError::Unsorted {
                line: point.line,
                time_s: point.time_s,
                previous_s: previous.time_s,
            });
        }
        points.push(point);
    }
    Ok(points)
}

fn parse_line(line: usize, text: &str) -> Result<Point, AutomationError> {
    let fields: Vec<&str> = text.split(',').map(str::trim).collect();
    let [time, id, value] = fields[..] else {
        return Err(AutomationError::Malformed {
            line,
            text: text.into(),
        });
    };
    let time_s = time
        .parse()
        .ok()
        .filter(|time_s: &f64| time_s.is_finite() && *time_s >= 0.0)
        .ok_or_else(|| AutomationError::Time {
            line,
            text: time.into(),
        })?;
    Ok(Point {
        line,
        time_s,
        id: id.into(),
        value: value.into(),
    })
}

/// The events that bring `points` to `plugin`, each at the sample nearest to its time.
pub fn events(
    points: &[Point],
    plugin: &mut Plugin,
    sample_rate_hz: f64,
) -> Result<Vec<ParamEvent>, AutomationError> {
    points
        .iter()
        .map(|point| event(point, plugin, sample_rate_hz))
        .collect()
}

fn event(point: &Point, plugin: &mut Plugin, sample_rate_hz: f64) -> Result<ParamEvent, AutomationError> {
    let line = point.line;
    let sample = (point.time_s * sample_rate_hz).round() as usize;
    let at_line = |cause| AutomationError::Value { line, cause };
    let event = plugin.event(sample, &point.id, &point.value).map_err(at_line)?;
    if !plugin.parameter(&point.id).map_err(at_line)?.is_automatable() {
        return Err(AutomationError::NotAutomatable {
            line,
            id: point.id.clone(),
        });
    }
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
