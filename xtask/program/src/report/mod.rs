//! What a person reads: tables in one form, pictures, a player, and the page of a survey.

pub mod drawing;
pub mod html;
pub mod player;
pub mod progress;
pub mod survey;
pub mod table;

use serde_json::{Value, json};

use table::Table;

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
