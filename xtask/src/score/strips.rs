//! What stands above and below a spectrogram: the labels, the classes, the reduction. As SVG elements.

use std::ops::Range;

use siskin_dsp::{Class, HopReport};
use siskin_tests::measurement::voices::corpus::Phone;

use super::picture::Frame;

/// Ink and paper, as in the pictures of the demo.
pub const INK: &str = "#262a30";
pub const PAPER: &str = "#faf8f3";
/// What is drawn faintly: it carries no meaning alone.
const GRID: &str = "#8a8f96";
/// Width of a letter, pixels.
const LETTER_WIDTH: f64 = 8.0;
/// Reduction at the bottom of its strip, dB: the default `Range`.
const MOST_REDUCTION_DB: f32 = 12.0;

/// A letter and a pattern for each class, so that colour is not needed. The patterns are in [`PATTERNS`].
pub const fn sign(class: Class) -> (&'static str, &'static str) {
    match class {
        Class::Sibilant => ("S", "url(#sibilant)"),
        Class::Voice => ("V", "url(#voice)"),
        Class::Breath => ("B", "url(#breath)"),
        Class::Quiet => ("", PAPER),
    }
}

/// The patterns, once a page. Each is pale: letters on it keep a contrast above 4.5 : 1.
pub const PATTERNS: &str = "<svg width=\"0\" height=\"0\" style=\"position:absolute\" aria-hidden=\"true\"><defs>\
<pattern id=\"sibilant\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"><rect width=\"6\" height=\"6\" \
fill=\"#e3d3ee\"/><path d=\"M0 6L6 0\" stroke=\"#a883bd\"/></pattern>\
<pattern id=\"voice\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"><rect width=\"6\" height=\"6\" \
fill=\"#d3e6ee\"/></pattern>\
<pattern id=\"breath\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\"><rect width=\"6\" height=\"6\" \
fill=\"#f3e2cf\"/><circle cx=\"3\" cy=\"3\" r=\"1\" fill=\"#b98750\"/></pattern></defs></svg>";

/// The labels in a row, each with its symbol, and their edges down through the picture.
pub fn labels(frame: &Frame, phones: &[Phone], top: f64, height: f64, bottom: f64) -> String {
    let seen = phones
        .iter()
        .filter(|phone| frame.shows(phone.span.start as i64..phone.span.end as i64));
    seen.map(|phone| {
        let (left, right) = (frame.x(phone.span.start as i64), frame.x(phone.span.end as i64));
        let symbol = fitting(left..right, top + height - 6.0, &phone.symbol);
        format!(
            "<rect x=\"{left:.1}\" y=\"{top}\" width=\"{:.1}\" height=\"{height}\" fill=\"none\" stroke=\"{INK}\"/>\
<path d=\"M{left:.1} {top}V{bottom}M{right:.1} {top}V{bottom}\" stroke=\"{GRID}\" stroke-dasharray=\"2 3\"/>{symbol}",
            right - left
        )
    })
    .collect()
}

/// The classes in a row.
pub fn classes(frame: &Frame, reports: &[HopReport], hop_samples: usize, top: f64, height: f64) -> String {
    let runs = reports.chunk_by(|one, two| one.class == two.class);
    let half_a_hop = hop_samples as i64 / 2;
    let seen = runs.filter_map(|run| {
        let span = run.first()?.centre_sample - half_a_hop..run.last()?.centre_sample + half_a_hop;
        frame.shows(span.clone()).then_some((run[0].class, span))
    });
    seen.map(|(class, span)| {
        let (left, right) = (frame.x(span.start), frame.x(span.end));
        let (letter, fill) = sign(class);
        let letter = fitting(left..right, top + height - 6.0, letter);
        format!(
            "<rect x=\"{left:.1}\" y=\"{top}\" width=\"{:.1}\" height=\"{height}\" fill=\"{fill}\" stroke=\"{INK}\" \
stroke-width=\".6\"/>{letter}",
            right - left
        )
    })
    .collect()
}

/// The reduction by the sibilance stage, 0 dB at the top.
pub fn reduction(frame: &Frame, reports: &[HopReport], top: f64, height: f64) -> String {
    let y = |gain_db: f32| top + height * f64::from((-gain_db / MOST_REDUCTION_DB).clamp(0.0, 1.0));
    let seen = reports
        .iter()
        .filter(|report| frame.shows(report.centre_sample..report.centre_sample + 1));
    let points: String = seen
        .map(|report| {
            format!(
                "{:.1},{:.1} ",
                frame.x(report.centre_sample),
                y(report.sibilance_gain_db)
            )
        })
        .collect();
    let (left, right) = frame.edges();
    let marks: String = [0.0, 6.0, 12.0]
        .into_iter()
        .map(|reduction_db: f32| {
            let y = y(-reduction_db);
            format!(
                "<path d=\"M{left} {y:.1}H{right}\" stroke=\"{GRID}\" stroke-dasharray=\"2 3\"/>\
<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{:.0} dB</text>",
                left - 6.0,
                y + 4.0,
                0.0 - reduction_db
            )
        })
        .collect();
    format!("{marks}<polyline points=\"{points}\" fill=\"none\" stroke=\"{INK}\" stroke-width=\"1.6\"/>")
}

/// A text in the middle between two pixels; nothing where it does not fit.
fn fitting(between: Range<f64>, y: f64, text: &str) -> String {
    let width = between.end - between.start;
    if text.is_empty() || width < LETTER_WIDTH * text.chars().count() as f64 {
        return String::new();
    }
    format!(
        "<text x=\"{:.1}\" y=\"{y:.1}\" text-anchor=\"middle\">{}</text>",
        between.start + width / 2.0,
        escaped(text)
    )
}

/// Text that HTML does not take for markup.
pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}
