//! What a person reads: the song in five versions and the editor in pictures, and one form for the tables and goals of
//! every command.

pub mod demo;
pub mod drawing;
pub mod html;
pub mod output;
pub mod parameters;
pub mod player;
pub mod progress;
pub mod shots;
pub mod survey;
pub mod table;

use serde_json::{Value, json};
use siskin_tests::measurement::goal::Verdict;

use table::{Cell, Table};

/// A table under its title.
pub struct Section {
    /// The title; may be empty.
    pub title: String,
    /// The table.
    pub table: Table,
    /// Lines that follow the table.
    pub notes: Vec<String>,
}

impl Section {
    /// A table without notes.
    pub fn new(title: impl Into<String>, table: Table) -> Self {
        Self {
            title: title.into(),
            table,
            notes: Vec::new(),
        }
    }

    /// The same with lines that follow the table.
    pub fn with_notes(self, notes: Vec<String>) -> Self {
        Self { notes, ..self }
    }
}

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

/// Prints all sections.
pub fn print(sections: &[Section]) {
    for section in sections {
        println!("\n{}", section.title);
        print!("{}", section.table.text());
        section.notes.iter().for_each(|note| println!("  {note}"));
    }
}

/// All sections as JSON: a list of objects with title, rows and notes.
pub fn json(sections: &[Section]) -> String {
    let sections: Vec<Value> = sections
        .iter()
        .map(
            |Section { title, table, notes }| json!({ "title": title, "rows": table.json(), "notes": notes }),
        )
        .collect();
    format!("{:#}\n", Value::from(sections))
}

/// All sections as Markdown, with headings of the second level.
pub fn markdown(sections: &[Section]) -> String {
    let section = |Section { title, table, notes }: &Section| {
        let notes: String = notes.iter().map(|note| format!("{note}\n")).collect();
        let notes = if notes.is_empty() {
            notes
        } else {
            format!("\n{notes}")
        };
        format!("## {title}\n\n{}{notes}", table.markdown())
    };
    sections.iter().map(section).collect::<Vec<_>>().join("\n")
}

/// All sections as HTML, with headings of the third level.
pub fn html(sections: &[Section]) -> String {
    let section = |Section { title, table, notes }: &Section| {
        let notes: String = notes
            .iter()
            .map(|note| format!("<li>{}", html::escaped(note)))
            .collect();
        format!(
            "<h3>{}</h3>{}<ul>{notes}</ul>",
            html::escaped(title),
            table.html()
        )
    };
    sections.iter().map(section).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use siskin_tests::measurement::goal::Goal;

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
