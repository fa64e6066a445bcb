//! The page of a survey: what is proposed and why, what is doubted, every section, and what is left to do by hand.

use siskin_dsp::{Class, SongSection, section_of};

use super::picture::SIZE;
use super::sibilants::Event;
use super::track::Surveyed;
use crate::report::drawing::edges;
use crate::report::html::{escaped, page as whole_page};
use crate::report::player::{self, Timeline, Track};
use crate::report::table::{Cell, Table};
use crate::report::{Section, html};

/// A sibilant that leaves within this of what was asked is as it should be, LU.
const NEAR_LU: f32 = 2.0;
/// What the list of things left to do shows of a track: the rest is in sibilants.csv.
const LISTED: usize = 40;

/// The page. The sound lies beside it.
pub fn page(surveyed: &[Surveyed]) -> String {
    let tracks: Vec<Track> = surveyed.iter().map(|track| track.track.clone()).collect();
    let lead = surveyed.first().map_or("", |track| track.name.as_str());
    let sounds: String = surveyed.iter().map(sound).collect();
    let parts: String = surveyed.iter().map(part).collect();
    let body = format!(
        "<h1>Survey of {}</h1>\
<p><strong>Protect your hearing:</strong> start at a moderate level.</p>{}<noscript>{sounds}</noscript>\
<p>A click on a picture, or on a time in a list, plays from half a second before. Keys: space bar, 1 and 2, e for equal \
loudness, t for the next track, left and right arrow.</p>{}{parts}\
<p>\u{201c}Asked\u{201d} is what Proportion, Ratio and Range make of a sibilant at the level at which it comes; levels are \
against the voice, K-weighted, as the plug-in measures them. A section begins after a rest of two seconds, or where the \
voice changes by more than 4 LU for good. Every sibilant is in sibilants.csv.</p>",
        escaped(lead),
        player::html(&tracks),
        html(&[overview(surveyed)]),
    );
    whole_page(&format!("Siskin: survey of {}", escaped(lead)), &body)
}

fn sound(track: &Surveyed) -> String {
    let name = escaped(&track.name);
    format!("{name}<audio controls preload=\"none\" src=\"{name}-siskin.wav\"></audio>")
}

/// One line for each track.
fn overview(surveyed: &[Surveyed]) -> Section {
    let heads = [
        "track",
        "role",
        "sibilants",
        "left - asked\nLU",
        "within 2 LU\n%",
        "limited by Range\n%",
        "before\nLUFS",
        "after\nLUFS",
    ];
    let row = |track: &Surveyed| {
        let [before, after] = track.loudness_lufs.map(|loudness| Cell::figure(loudness, 1));
        let first = [Cell::words(track.name.as_str()), Cell::words(track.role.name())];
        let events: Vec<&Event> = track.events.iter().collect();
        first
            .into_iter()
            .chain(figures(&events))
            .chain([before, after])
            .collect()
    };
    Section::new("Tracks", Table::new(heads).with_rows(surveyed.iter().map(row)))
}

/// The same with what is proposed and doubted, for a terminal.
pub fn summary(surveyed: &[Surveyed]) -> Section {
    let notes = surveyed.iter().flat_map(|track| {
        let lines = track.proposal.reasons.iter().chain(&track.doubts);
        lines.map(|line| format!("{}: {line}", track.name))
    });
    overview(surveyed).with_notes(notes.collect())
}

/// Number, mean left against asked, share near it, share that Range cut off.
fn figures(events: &[&Event]) -> [Cell; 4] {
    let sibilants: Vec<&&Event> = events
        .iter()
        .filter(|event| event.class == Class::Sibilant)
        .collect();
    let count = sibilants.len() as f32;
    let share = |holds: fn(&Event) -> bool| {
        100.0 * sibilants.iter().filter(|event| holds(event)).count() as f32 / count
    };
    let mean = sibilants.iter().map(|event| event.error_lu()).sum::<f32>() / count;
    [
        Cell::figure(count, 0),
        Cell::figure(mean, 1),
        Cell::figure(share(|event| event.error_lu().abs() <= NEAR_LU), 0),
        Cell::figure(share(|event| event.is_limited), 0),
    ]
}

/// Everything about one track.
fn part(track: &Surveyed) -> String {
    let list = |title: &str, lines: &[String]| match lines {
        [] => String::new(),
        lines => {
            let lines: String = lines
                .iter()
                .map(|line| format!("<li>{}</li>", escaped(line)))
                .collect();
            format!("<h3>{title}</h3><ul>{lines}</ul>")
        }
    };
    let timeline = Timeline {
        track: &track.track.id,
        svg: &track.picture,
        edges: edges(SIZE.0),
        seconds: track.duration_s,
    };
    format!(
        "<h2>{} ({})</h2>{}{}{}{}",
        escaped(&track.name),
        track.role.name(),
        list("Proposed", &track.proposal.reasons),
        list("Doubts", &track.doubts),
        timeline.html(),
        html(&[by_section(track), left_to_do(track)]),
    )
}

fn by_section(track: &Surveyed) -> Section {
    let heads = [
        "section",
        "from",
        "to",
        "lead's voice\nLUFS",
        "sibilants",
        "left - asked\nLU",
        "within 2 LU\n%",
        "limited by Range\n%",
    ];
    let row = |(index, section): (usize, &SongSection)| {
        let events: Vec<&Event> = track.events_of(index + 1).collect();
        let moment = |seconds: f32| Cell::moment(&track.track.id, f64::from(seconds));
        let first = [
            Cell::figure((index + 1) as f64, 0),
            moment(section.start_s),
            moment(section.end_s),
            Cell::figure(section.voice_lufs, 1),
        ];
        first.into_iter().chain(figures(&events)).collect()
    };
    let rows = track.sections.iter().enumerate().map(row);
    Section::new("Sections", Table::new(heads).with_rows(rows))
}

/// The events that are furthest from what was asked, worst first.
fn left_to_do(track: &Surveyed) -> Section {
    let mut far: Vec<&Event> = track
        .events
        .iter()
        .filter(|event| event.error_lu().abs() > NEAR_LU)
        .collect();
    far.sort_by(|a, b| b.error_lu().abs().total_cmp(&a.error_lu().abs()));
    let row = |event: &&Event| {
        let figures = [event.before_lu, event.asked_lu, event.left_lu, event.error_lu()];
        let signed = figures.map(|figure| Cell::written(figure, format!("{figure:+.1}")));
        let first = [
            Cell::moment(&track.track.id, f64::from(event.start_s)),
            Cell::figure(section_of(&track.sections, event.start_s) as f64, 0),
            Cell::words(event.name()),
        ];
        first.into_iter().chain(signed).collect()
    };
    let heads = [
        "time",
        "section",
        "class",
        "before\nLU",
        "asked\nLU",
        "left\nLU",
        "off\nLU",
    ];
    let table = match far[..] {
        [] => Table::new::<String>([]),
        _ => Table::new(heads).with_rows(far.iter().take(LISTED).map(row)),
    };
    let note = match far.len() {
        0 => "Nothing leaves further than 2 LU from what was asked.".to_owned(),
        count if count > LISTED => format!("The {LISTED} worst of {count}; the others are in sibilants.csv."),
        count => format!("{count} leave further than 2 LU from what was asked."),
    };
    Section::new("Left to do", table).with_notes(vec![note])
}
