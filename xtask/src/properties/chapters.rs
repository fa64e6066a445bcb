//! The figures put together: each row by kind of voice, and by voice.

use siskin_tests::measurement::figures::properties::{Findings, Quantity, ROWS, Row, Throat};

use super::measured::Line;

/// A figure and whether it meets its goal.
#[derive(Debug, Clone)]
pub struct Cell {
    /// As it is written.
    pub text: String,
    /// The figure itself.
    pub figure: f32,
    /// None where it is not judged.
    pub met: Option<bool>,
}

/// A row of the first or second table.
pub struct RowReport {
    /// The row.
    pub row: &'static Row,
    /// By kind of voice: singer, synthetic, real; none where nothing was read.
    pub throats: [Option<Cell>; 3],
    /// The voice whose own figure is worst, and that figure.
    pub worst: Option<(String, Cell)>,
}

/// A row of the table of voices.
pub struct VoiceReport {
    /// Its line.
    pub name: String,
    /// What its source holds at most, kHz.
    pub band_khz: f64,
    /// Length of what was played, s.
    pub duration_s: f64,
    /// Samples and reports that differ in all rows that must not change by a bit.
    pub differing: f32,
    /// Its figures, in the order of [`PER_VOICE`].
    pub cells: Vec<Option<Cell>>,
}

/// Everything that is told.
pub struct Report {
    /// Siskin, all rows.
    pub siskin: Vec<RowReport>,
    /// The two fixed stages, those rows that make sense for them.
    pub stack: Vec<RowReport>,
    /// Voice by voice, Siskin.
    pub voices: Vec<VoiceReport>,
}

/// Columns of the table of voices: head on two lines, and its row in [`ROWS`] by property and figure.
pub const PER_VOICE: &[([&str; 2], (&str, &str))] = &[
    (["level", "dB"], ("level invariance", "residual at -18, +12 dB")),
    (["own", "<1 LU"], ("proportion, own rule", "within 1 LU")),
    (
        ["outs.", "mean"],
        ("proportion, from outside", "mean of a section"),
    ),
    (["outs.", "<2 LU"], ("proportion, from outside", "within 2 LU")),
    (["outs.", "<1 LU"], ("proportion, from outside", "within 1 LU")),
    (["vowels", ">.5 dB"], ("vowels untouched", "beyond 0.5 dB")),
    (["start", "worst"], ("start anywhere", "worst sibilant")),
    (["start", "<.5 dB"], ("start anywhere", "within 0.5 dB")),
    (["rates", "worst"], ("any sample rate", "worst sibilant")),
    (["rates", "<.5 dB"], ("any sample rate", "within 0.5 dB")),
    (
        ["onset", "stands"],
        ("onset, its rise cut out", "stands after 1 ms, mean"),
    ),
    (["jumps", "<2 LU"], ("sections, 18 dB, no rest", "within 2 LU")),
    (
        ["double", "<2 LU"],
        ("double, +-12 dB", "to the lead, within 2 LU"),
    ),
    (
        ["stack", "<2 LU"],
        ("backing stack, +-12 dB", "to the lead, within 2 LU"),
    ),
];

/// What must not change by a bit; read together in the table of voices.
const BITS: [Quantity; 5] = [
    Quantity::IdentityDiffering,
    Quantity::BlockDiffering,
    Quantity::ResetDiffering,
    Quantity::BounceDiffering,
    Quantity::UnconnectedDiffering,
];

/// Every row with the property to which it belongs: rows without a name of their own belong to the one above.
pub fn named_rows() -> impl Iterator<Item = (&'static str, &'static Row)> {
    ROWS.iter().scan("", |property, row| {
        if !row.property.is_empty() {
            *property = row.property;
        }
        Some((*property, row))
    })
}

impl Report {
    /// Of what was measured.
    pub fn of(lines: &[Line]) -> Self {
        let siskin = ROWS
            .iter()
            .map(|row| row_report(row, lines, |line| &line.siskin))
            .collect();
        let stack = ROWS.iter().map(|row| row_report(row, lines, |line| &line.stack));
        Self {
            siskin,
            stack: stack
                .filter(|report| report.throats.iter().any(Option::is_some))
                .collect(),
            voices: lines.iter().map(voice_report).collect(),
        }
    }
}

fn cell(row: &Row, findings: &Findings) -> Option<Cell> {
    let figure = row.read(findings)?;
    Some(Cell {
        text: row.text(figure),
        figure,
        met: row.goal.is_met(figure),
    })
}

fn row_report(row: &'static Row, lines: &[Line], of: fn(&Line) -> &Findings) -> RowReport {
    let throats = Throat::ALL.map(|throat| {
        let lines = lines.iter().filter(|line| line.throat == throat);
        cell(row, &lines.map(|line| of(line).clone()).sum())
    });
    let cells = lines
        .iter()
        .filter_map(|line| Some((line.name.clone(), cell(row, of(line))?)));
    let worst = cells.reduce(|one, two| {
        if row.is_worse(two.1.figure, one.1.figure) {
            two
        } else {
            one
        }
    });
    RowReport { row, throats, worst }
}

fn voice_report(line: &Line) -> VoiceReport {
    let cells = PER_VOICE.iter().map(|(_, name)| {
        let (_, row) = named_rows().find(|(property, row)| (*property, row.what) == *name)?;
        cell(row, &line.siskin)
    });
    VoiceReport {
        name: line.name.clone(),
        band_khz: line.lowest_rate_hz / 2000.0,
        duration_s: line.duration_s,
        differing: BITS.iter().flat_map(|bits| line.siskin.all(*bits)).sum(),
        cells: cells.collect(),
    }
}
