//! Single figures of the rows, as they are written.

use siskin_tests::measurement::figures::properties::{Findings, ROWS, Row, VoiceKind};

use super::measured::Line;
use crate::report::table::{Cell, MISSED};

/// Every row with the property to which it belongs: rows without a name of their own belong to the one above.
fn named_rows() -> impl Iterator<Item = (&'static str, &'static Row)> {
    ROWS.iter().scan("", |property, row| {
        if !row.property.is_empty() {
            *property = row.property;
        }
        Some((*property, row))
    })
}

/// The row of that property and figure.
pub fn named(name: (&str, &str)) -> Option<&'static Row> {
    named_rows().find_map(|(property, row)| ((property, row.what) == name).then_some(row))
}

/// A figure held against its goal, without its unit where `bare`.
pub fn cell(row: &Row, figure: Option<f32>, bare: bool) -> Cell {
    let Some(figure) = figure else {
        return Cell::nothing();
    };
    let text = row.text(figure);
    let text = if bare {
        text.trim_end_matches([' ', '%', 'd', 'B', 'L', 'U'])
    } else {
        &text
    };
    Cell::written(figure, text).judged(row.is_met(figure))
}

/// The figure of all voices of a kind together.
pub fn of_kind(row: &Row, lines: &[Line], kind: VoiceKind, of: fn(&Line) -> &Findings) -> Option<f32> {
    let lines = lines.iter().filter(|line| line.kind == kind);
    row.read(&lines.map(|line| of(line).clone()).sum())
}

/// The figure of Siskin for each kind of voice, in the order of [`VoiceKind::ALL`], as it is written.
pub fn reached(row: &Row, lines: &[Line]) -> [String; 3] {
    VoiceKind::ALL.map(|kind| {
        let figure = of_kind(row, lines, kind, |line| &line.siskin);
        figure.map_or("-".to_owned(), |figure| {
            let mark = if row.is_met(figure) == Some(false) {
                MISSED
            } else {
                ""
            };
            row.text(figure) + mark
        })
    })
}
