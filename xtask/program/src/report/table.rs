//! Tables: one form that is written for the terminal, as Markdown, as HTML and as JSON.

use serde_json::{Map, Value, json};

use super::html::escaped;

/// What follows a figure that misses its goal.
pub const MISSED: &str = "!";
/// What is written where nothing was measured.
const NOTHING: &str = "-";

/// A cell: what is written, and what a program reads.
#[derive(Debug, Clone, Default)]
pub struct Cell {
    /// As a person reads it.
    pub text: String,
    value: Value,
    met: Option<bool>,
    /// A track of the page's player and a time in it, s: choosing the cell plays from there.
    moment: Option<(String, f64)>,
}

impl Cell {
    /// Words.
    pub fn words(text: impl Into<String>) -> Self {
        let text = text.into();
        Self {
            value: text.clone().into(),
            text,
            ..Self::default()
        }
    }

    /// A figure that is written as `text`.
    pub fn written(figure: impl Into<f64>, text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            value: json!(figure.into()),
            ..Self::default()
        }
    }

    /// A figure with so many digits after the point; NaN is nothing.
    pub fn figure(figure: impl Into<f64>, digits: usize) -> Self {
        let figure = figure.into();
        match figure.is_nan() {
            true => Self::nothing(),
            false => Self::written(figure, format!("{figure:.digits$}")),
        }
    }

    /// A time in a track of the page's player, s, as minutes and seconds.
    pub fn moment(track: &str, seconds: f64) -> Self {
        let tenths = (10.0 * seconds).round() as u64;
        let text = format!("{}:{:04.1}", tenths / 600, (tenths % 600) as f64 / 10.0);
        Self {
            moment: Some((track.to_owned(), seconds)),
            ..Self::written(seconds, text)
        }
    }

    /// Where nothing was measured.
    pub fn nothing() -> Self {
        Self {
            text: NOTHING.to_owned(),
            ..Self::default()
        }
    }

    /// The same, held against a goal.
    pub fn judged(self, met: Option<bool>) -> Self {
        Self { met, ..self }
    }

    fn shown(&self) -> String {
        let is_missed = self.value.is_number() && self.met == Some(false);
        format!("{}{}", self.text, if is_missed { MISSED } else { "" })
    }

    fn html(&self) -> String {
        let shown = escaped(&self.shown());
        match &self.moment {
            Some((track, seconds)) => format!(
                "<button type=\"button\" data-track=\"{}\" data-at=\"{seconds:.3}\">{shown}</button>",
                escaped(track)
            ),
            None => shown,
        }
    }

    fn json(&self) -> Value {
        match self.met {
            Some(met) => json!({ "value": self.value, "met": met }),
            None => self.value.clone(),
        }
    }
}

/// Heads and rows.
#[derive(Debug, Clone)]
pub struct Table {
    /// A line break in a head puts it on two lines.
    heads: Vec<String>,
    rows: Vec<Vec<Cell>>,
}

impl Table {
    /// An empty table.
    pub fn new<Head: Into<String>>(heads: impl IntoIterator<Item = Head>) -> Self {
        Self {
            heads: heads.into_iter().map(Into::into).collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row of as many cells as there are heads.
    pub fn push(&mut self, row: Vec<Cell>) {
        self.rows.push(row);
    }

    /// The same with more rows.
    pub fn with_rows(mut self, rows: impl IntoIterator<Item = Vec<Cell>>) -> Self {
        self.rows.extend(rows);
        self
    }

    /// The heads, each on one line.
    fn names(&self) -> Vec<String> {
        let on_one_line = |head: &String| head.replace('\n', " ").trim().to_owned();
        self.heads.iter().map(on_one_line).collect()
    }

    /// A column of words goes to the left, one of figures to the right.
    fn is_words(&self, column: usize) -> bool {
        let values = || self.rows.iter().map(|row| &row[column].value);
        values().any(Value::is_string) && values().all(|value| value.is_string() || value.is_null())
    }

    /// For a terminal: columns under one another. An empty table is no text.
    pub fn text(&self) -> String {
        if self.rows.is_empty() {
            return String::new();
        }
        let split = |head: &String| match head.split_once('\n') {
            Some((upper, lower)) => [upper.to_owned(), lower.to_owned()],
            None => [String::new(), head.clone()],
        };
        let heads: Vec<[String; 2]> = self.heads.iter().map(split).collect();
        let head = |line: usize| heads.iter().map(|head| head[line].clone()).collect::<Vec<_>>();
        let mut lines = vec![head(0), head(1)];
        lines.retain(|line| line.iter().any(|head| !head.is_empty()));
        lines.extend(self.rows.iter().map(|row| row.iter().map(Cell::shown).collect()));
        let width = |column: usize| lines.iter().map(|line| line[column].chars().count()).max();
        let columns: Vec<(bool, usize)> = (0..self.heads.len())
            .map(|column| (self.is_words(column), width(column).unwrap_or(0)))
            .collect();
        let line = |cells: &Vec<String>| {
            let cells = cells
                .iter()
                .zip(&columns)
                .map(|(cell, &(is_words, width))| match is_words {
                    true => format!("{cell:<width$}"),
                    false => format!("{cell:>width$}"),
                });
            format!("{}\n", cells.collect::<Vec<_>>().join("  ").trim_end())
        };
        lines.iter().map(line).collect()
    }

    /// As Markdown.
    pub fn markdown(&self) -> String {
        let line = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
        let rule = |column| if self.is_words(column) { "---" } else { "---:" }.to_owned();
        let rows = self
            .rows
            .iter()
            .map(|row| line(row.iter().map(Cell::shown).collect()));
        [
            line(self.names()),
            line((0..self.heads.len()).map(rule).collect()),
        ]
        .into_iter()
        .chain(rows)
        .collect()
    }

    /// As an HTML table.
    pub fn html(&self) -> String {
        let align = |column| ["", " class=\"text\""][usize::from(self.is_words(column))];
        let heads = self.names().into_iter().enumerate();
        let heads: String = heads
            .map(|(column, head)| format!("<th{}>{}", align(column), escaped(&head)))
            .collect();
        let row = |row: &Vec<Cell>| {
            let is_missed = row.iter().any(|cell| cell.met == Some(false));
            let class = if is_missed { " class=\"missed\"" } else { "" };
            let cells = row.iter().enumerate();
            let cells: String = cells
                .map(|(column, cell)| format!("<td{}>{}", align(column), cell.html()))
                .collect();
            format!("<tr{class}>{cells}</tr>")
        };
        let rows: String = self.rows.iter().map(row).collect();
        format!("<div class=\"wide\"><table><tr>{heads}</tr>{rows}</table></div>")
    }

    /// One object a row, by the heads. What is infinite or NaN has no form in JSON and becomes null.
    pub fn json(&self) -> Value {
        let names = self.names();
        let row = |row: &Vec<Cell>| {
            let named = names.iter().cloned().zip(row.iter().map(Cell::json));
            Value::Object(named.collect::<Map<_, _>>())
        };
        self.rows.iter().map(row).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_reads_alike_in_every_form() {
        let table = Table::new(["voice", "outside\nLU"]).with_rows([
            vec![Cell::words("<one>"), Cell::figure(1.25, 1).judged(Some(false))],
            vec![Cell::words("two"), Cell::nothing()],
        ]);
        assert_eq!(
            table.text(),
            "       outside\nvoice       LU\n<one>     1.2!\ntwo          -\n"
        );
        assert_eq!(
            table.markdown(),
            "| voice | outside LU |\n| --- | ---: |\n| <one> | 1.2! |\n| two | - |\n"
        );
        let json = table.json();
        assert_eq!(json[0]["outside LU"], json!({ "value": 1.25, "met": false }));
        assert_eq!(json[1], json!({ "voice": "two", "outside LU": null }));
        let moment = Table::new(["time"]).with_rows([vec![Cell::moment("lead", 75.25)]]);
        assert!(
            moment.html().contains(
                "<td><button type=\"button\" data-track=\"lead\" data-at=\"75.250\">1:15.3</button>"
            )
        );
        assert_eq!(moment.json()[0]["time"], 75.25);
        let html = table.html();
        assert!(
            html.contains("<tr class=\"missed\"><td class=\"text\">&lt;one&gt;<td>1.2!</tr>"),
            "{html}"
        );
    }
}
