//! The figures as they are written, and as tables: each row by kind of voice, and by voice.

use siskin_tests::measurement::figures::properties::{Findings, Quantity, ROWS, Row, VoiceKind};
use siskin_tests::measurement::voices::corpus::Half;

use super::measured::Line;
use super::promises;
use crate::report::Section;
use crate::report::table::{Cell, MISSED, Table};

/// Columns of the table of voices: head, and its row in [`ROWS`] by property and figure.
#[rustfmt::skip]
const PER_VOICE: &[(&str, (&str, &str))] = &[
    ("level\ndB", ("level invariance", "residual at -18, +12 dB")),
    ("own\n<1 LU", ("proportion, own rule", "within 1 LU")),
    ("outs.\nmean", ("proportion, from outside", "mean of a section")),
    ("outs.\n<2 LU", ("proportion, from outside", "within 2 LU")),
    ("outs.\n<1 LU", ("proportion, from outside", "within 1 LU")),
    ("vowels\n>.5 dB", ("vowels untouched", "beyond 0.5 dB")),
    ("start\nworst", ("start anywhere", "worst sibilant")),
    ("start\n<.5 dB", ("start anywhere", "within 0.5 dB")),
    ("rates\nworst", ("any sample rate", "worst sibilant")),
    ("rates\n<.5 dB", ("any sample rate", "within 0.5 dB")),
    ("onset\nstands", ("onset, its rise cut out", "stands after 1 ms, mean")),
    ("jumps\n<2 LU", ("sections, 18 dB, no rest", "within 2 LU")),
    ("double\n<2 LU", ("double, +-12 dB", "to the lead, within 2 LU")),
    ("stack\n<2 LU", ("backing stack, +-12 dB", "to the lead, within 2 LU")),
];

/// What must not change by a bit; read together in the table of voices.
const BITS: [Quantity; 5] = [
    Quantity::IdentityDiffering,
    Quantity::BlockDiffering,
    Quantity::ResetDiffering,
    Quantity::BounceDiffering,
    Quantity::UnconnectedDiffering,
];

/// All tables: what is promised, Siskin on each half of the voices, voice by voice, and the two fixed stages where they
/// were measured. What is quoted was reached on the test voices.
pub fn of(lines: &[Line]) -> Vec<Section> {
    let [test, tuning] = Half::ALL.map(|half| {
        let those = lines.iter().filter(|line| line.half == half);
        those.cloned().collect::<Vec<Line>>()
    });
    let siskin = |half: Half, lines: &[Line]| {
        let title = format!(
            "{}: Siskin at its defaults, after the hard leveller and the boost; ! misses the goal",
            half.title()
        );
        Section::new(title, by_kind(lines, |line| &line.siskin))
    };
    let mut sections = vec![
        Section::new("What must hold", promises::table(&test)),
        siskin(Half::Test, &test),
        siskin(Half::Tuning, &tuning),
        Section::new("Voice by voice, Siskin", by_voice(lines)),
    ];
    if test.iter().any(|line| line.stack != Findings::default()) {
        sections.push(Section::new(
            "Test voices: the practice that one insert replaces: two stages with fixed thresholds",
            by_kind(&test, |line| &line.stack),
        ));
    }
    sections
}

/// Properties down, kinds of voice across; rows of which nothing was read are left out.
fn by_kind(lines: &[Line], of: fn(&Line) -> &Findings) -> Table {
    let heads = ["property", "figure", "goal"]
        .into_iter()
        .chain(VoiceKind::ALL.map(VoiceKind::name));
    let table = Table::new(heads.chain(["worst", "of all voices: which"]));
    let rows = ROWS.iter().filter_map(|row| {
        let kinds = VoiceKind::ALL.map(|kind| of_kind(row, lines, kind, of));
        kinds.iter().any(Option::is_some).then_some(())?;
        let figures = lines
            .iter()
            .filter_map(|line| Some((&line.name, row.read(of(line))?)));
        let worst = figures.reduce(|one, two| if row.is_worse(two.1, one.1) { two } else { one });
        let cells = [row.property, row.what, &row.goal.text(row.unit)].map(Cell::words);
        let kinds = kinds.map(|figure| cell(row, figure, false));
        let name = worst.map_or(Cell::nothing(), |(name, _)| Cell::words(name));
        let worst = cell(row, worst.map(|(_, figure)| figure), false);
        Some(cells.into_iter().chain(kinds).chain([worst, name]).collect())
    });
    table.with_rows(rows)
}

/// Voices down, properties across.
fn by_voice(lines: &[Line]) -> Table {
    let heads = ["voice", "half", "kHz", "s", "bits\ndiffer"].into_iter();
    let table = Table::new(heads.chain(PER_VOICE.iter().map(|(head, _)| *head)));
    let row = |line: &Line| {
        let differing: f32 = BITS.iter().flat_map(|bits| line.siskin.all(*bits)).sum();
        let about = [line.lowest_rate_hz / 2000.0, line.duration_s, differing.into()];
        let figures = PER_VOICE.iter().map(|(_, name)| {
            named(*name).map_or_else(Cell::nothing, |row| cell(row, row.read(&line.siskin), true))
        });
        let about = about.map(|figure| Cell::figure(figure, 0));
        [line.name.as_str(), line.half.name()]
            .map(Cell::words)
            .into_iter()
            .chain(about)
            .chain(figures)
            .collect()
    };
    table.with_rows(lines.iter().map(row))
}

/// The row of that property and figure; rows without a name of their own belong to the property above.
pub fn named(name: (&str, &str)) -> Option<&'static Row> {
    let mut property = "";
    ROWS.iter().find(|row| {
        if !row.property.is_empty() {
            property = row.property;
        }
        (property, row.what) == name
    })
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_named_row_exists() {
        for (head, name) in PER_VOICE {
            assert!(named(*name).is_some(), "{head}: {name:?}");
        }
    }
}
