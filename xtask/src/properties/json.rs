//! The figures for a program.

use serde_json::{Value, json};
use siskin_tests::measurement::figures::properties::Throat;

use super::chapters::{Cell, PER_VOICE, Report, RowReport, VoiceReport};

/// All figures.
pub fn text(report: &Report) -> String {
    let rows = |reports: &[RowReport]| -> Vec<Value> { reports.iter().map(row).collect() };
    let voices: Vec<Value> = report.voices.iter().map(voice).collect();
    let value = json!({
        "siskin": rows(&report.siskin),
        "two_fixed_stages": rows(&report.stack),
        "voices": voices,
    });
    format!("{value:#}\n")
}

/// What is infinite or no number has no form in JSON and becomes null.
fn cell(cell: Option<&Cell>) -> Value {
    cell.map_or(
        Value::Null,
        |cell| json!({ "figure": cell.figure, "met": cell.met }),
    )
}

fn row(report: &RowReport) -> Value {
    let row = report.row;
    let throats = Throat::ALL.iter().zip(&report.throats);
    let throats: serde_json::Map<_, _> = throats
        .map(|(throat, figure)| (throat.name().to_owned(), cell(figure.as_ref())))
        .collect();
    json!({
        "property": row.property.trim(),
        "figure": row.what,
        "quantity": format!("{:?}", row.quantity),
        "unit": row.unit,
        "goal": row.goal_text(),
        "voices": throats,
        "worst_voice": report.worst.as_ref().map(|(name, _)| name),
        "worst": cell(report.worst.as_ref().map(|(_, cell)| cell)),
    })
}

fn voice(report: &VoiceReport) -> Value {
    let named = PER_VOICE.iter().zip(&report.cells);
    let figures: serde_json::Map<_, _> = named
        .map(|((_, (property, what)), figure)| (format!("{property}: {what}"), cell(figure.as_ref())))
        .collect();
    json!({
        "name": report.name,
        "band_khz": report.band_khz,
        "duration_s": report.duration_s,
        "figures": figures,
    })
}
