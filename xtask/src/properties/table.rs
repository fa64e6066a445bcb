//! The page for a person at a terminal, and its tables for whoever else writes them.

use siskin_tests::measurement::figures::properties::Throat;

use super::chapters::{Cell, PER_VOICE, Report, RowReport, VoiceReport};
use crate::columns;

/// What follows a figure that misses its goal.
pub const MISSED: &str = "!";
/// What stands where nothing was read, or too little.
pub const NOTHING: &str = "-";

/// A table as text: its heads, then its rows.
pub struct Table {
    /// The heads of the columns, on two lines.
    pub heads: Vec<[String; 2]>,
    /// Columns that are words and not figures.
    pub words: &'static [usize],
    /// As many cells a row as there are heads.
    pub rows: Vec<Vec<String>>,
}

/// Prints the page.
pub fn print(report: &Report) {
    println!("Siskin at its defaults, after the hard leveller and the boost; {MISSED} misses the goal\n");
    print_table(&rows(&report.siskin));
    println!("\nVoice by voice, Siskin\n");
    print_table(&voices(&report.voices));
    if !report.stack.is_empty() {
        println!("\nTwo stages with fixed thresholds, set for the last section of each voice\n");
        print_table(&rows(&report.stack));
    }
    println!(
        "\nreal time (no allocation, lock, panic; denormals, NaN, infinities): dsp-core/tests/real_time.rs,"
    );
    println!("dsp-core/tests/properties.rs and tests/tests/host_guard.rs");
}

fn print_table(table: &Table) {
    let head = |line: usize| {
        table
            .heads
            .iter()
            .map(|head| head[line].clone())
            .collect::<Vec<_>>()
    };
    let heads = [head(0), head(1)];
    let heads = heads
        .iter()
        .filter(|line| line.iter().any(|head| !head.is_empty()));
    let lines: Vec<&Vec<String>> = heads.chain(&table.rows).collect();
    columns::print(&lines, |column| table.words.contains(&column));
}

/// A cell as it is written.
pub fn written(cell: Option<&Cell>) -> String {
    cell.map_or(NOTHING.to_owned(), |cell| {
        let mark = if cell.met == Some(false) { MISSED } else { "" };
        format!("{}{mark}", cell.text)
    })
}

/// Properties down, kinds of voice across.
pub fn rows(reports: &[RowReport]) -> Table {
    let heads = ["property", "figure", "goal"]
        .into_iter()
        .chain(Throat::ALL.map(Throat::name));
    let heads = heads.chain(["worst", "of all voices: which"]);
    let row = |report: &RowReport| {
        let row = report.row;
        let told = [row.property.to_owned(), row.what.to_owned(), row.goal_text()];
        let throats = report.throats.iter().map(|cell| written(cell.as_ref()));
        let (name, cell) = report
            .worst
            .as_ref()
            .map_or((NOTHING, None), |(name, cell)| (name, Some(cell)));
        let worst = [written(cell), name.to_owned()];
        told.into_iter().chain(throats).chain(worst).collect()
    };
    Table {
        heads: heads.map(|head| [head.to_owned(), String::new()]).collect(),
        words: &[0, 1, 2, 7],
        rows: reports.iter().map(row).collect(),
    }
}

/// Voices down, properties across.
pub fn voices(reports: &[VoiceReport]) -> Table {
    let heads = [["voice", ""], ["", "kHz"], ["", "s"], ["bits", "differ"]].into_iter();
    let heads = heads.chain(PER_VOICE.iter().map(|(head, _)| *head));
    let row = |report: &VoiceReport| {
        let about = [
            report.name.clone(),
            format!("{:.0}", report.band_khz),
            format!("{:.0}", report.duration_s),
            format!("{:.0}", report.differing),
        ];
        // The units stand in the heads.
        let bare = |cell: &Option<Cell>| {
            let text = written(cell.as_ref());
            [" %", " dB", " LU"]
                .iter()
                .fold(text, |text, unit| text.replace(unit, ""))
        };
        about.into_iter().chain(report.cells.iter().map(bare)).collect()
    };
    Table {
        heads: heads.map(|head| head.map(str::to_owned)).collect(),
        words: &[0],
        rows: reports.iter().map(row).collect(),
    }
}
