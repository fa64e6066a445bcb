//! What a person reads: the song in five versions and the editor in pictures, and one form for the goals of every command.
//! Tables, pictures and the player are those of the program `siskin`.

pub mod demo;
pub mod output;
pub mod parameters;
pub mod shots;

pub use siskin_program::report::*;
use siskin_tests::measurement::goal::Verdict;

use table::{Cell, Table};

/// The section of goals.
pub fn goals(verdicts: &[Verdict]) -> Section {
    let row = |verdict: &Verdict| {
        let words = [&verdict.what, &verdict.goal, &verdict.measured].map(Cell::words);
        let word = Cell::words(verdict.word()).judged(verdict.met);
        std::iter::once(word).chain(words).collect()
    };
    let table = Table::new(["verdict", "goal", "asked", "measured"]).with_rows(verdicts.iter().map(row));
    let published = verdicts.iter().filter(|verdict| !verdict.published.is_empty());
    let notes = published
        .map(|Verdict { what, published, .. }| format!("published on other material: {what}: {published}"));
    Section::new("Goals", table).with_notes(notes.collect())
}

#[cfg(test)]
mod tests {
    use serde_json::Value;
    use siskin_tests::measurement::goal::Goal;

    use super::*;

    #[test]
    fn goals_read_alike_in_every_form() {
        let verdicts = [
            Verdict::of("recall", Goal::AtLeast(95.0), 90.0, 1, "%"),
            Verdict::of("onset", Goal::AtMost(4.0), 3.0, 1, "ms"),
        ];
        let section = goals(&verdicts);
        assert_eq!(
            section.table.text(),
            "verdict  goal    asked    measured\nMISSED   recall  >= 95 %  90.0 %\nmet      onset   <= 4 ms  3.0 ms\n"
        );
        let read: Value = serde_json::from_str(&json(&[section])).unwrap();
        assert_eq!(read[0]["rows"][1]["measured"], "3.0 ms");
        assert_eq!(read[0]["rows"][0]["verdict"]["met"], false);
    }
}
