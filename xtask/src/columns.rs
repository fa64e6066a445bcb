//! Tables for a person at a terminal.

/// Prints lines of as many cells each, columns under one another: words to the left, figures to the right.
pub fn print(lines: &[&Vec<String>], is_words: impl Fn(usize) -> bool) {
    let columns = lines.first().map_or(0, |line| line.len());
    let width = |column: usize| lines.iter().map(|line| line[column].chars().count()).max();
    let widths: Vec<usize> = (0..columns).map(|column| width(column).unwrap_or(0)).collect();
    for line in lines {
        let cells = line.iter().zip(&widths).enumerate();
        let cells = cells.map(|(column, (cell, width))| {
            if is_words(column) {
                format!("{cell:<width$}")
            } else {
                format!("{cell:>width$}")
            }
        });
        println!("{}", cells.collect::<Vec<_>>().join("  ").trim_end());
    }
}
