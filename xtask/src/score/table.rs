//! The figures for a person at a terminal.

use siskin_tests::measurement::figures::detector::{CLASSES, Confusion, SOUNDS};
use siskin_tests::measurement::voices::corpus::Sound;

use super::columns::{COLUMNS, asides};
use super::rows::{Chapter, Row};
use super::takes::title;
use super::verdicts::{Verdict, verdicts};

/// Width of the first column, characters: the longest name of a source.
const NAME_WIDTH: usize = 40;
/// Width of the others, characters.
const WIDTH: usize = 14;

/// Prints a table a condition, the confusion matrix of all, and the goals.
pub fn print(chapters: &[Chapter]) {
    println!("shares in percent, with the number of events in brackets");
    for chapter in chapters {
        print_chapter(chapter);
    }
    println!();
    for verdict in verdicts(chapters) {
        println!("{}", line(&verdict));
    }
}

fn print_chapter(chapter: &Chapter) {
    println!("\n{}", title(chapter.condition));
    for line in 0..2 {
        let heads: String = COLUMNS
            .iter()
            .map(|column| format!("{:>WIDTH$}", column.head[line]))
            .collect();
        println!("{:NAME_WIDTH$}{heads}", "");
    }
    for row in chapter.rows() {
        println!("{}", table_row(row));
    }
    for aside in asides(&chapter.all.figures) {
        println!("  {aside}");
    }
    print_confusion(&chapter.all.figures.confusion);
}

fn table_row(row: &Row) -> String {
    let cells: String = COLUMNS
        .iter()
        .map(|column| format!("{:>WIDTH$}", (column.cell)(&row.figures)))
        .collect();
    format!("{:NAME_WIDTH$}{cells}", row.name)
}

fn print_confusion(confusion: &Confusion) {
    let heads: String = CLASSES
        .iter()
        .map(|class| format!("{:>WIDTH$}", format!("{class:?}")))
        .collect();
    println!(
        "{:NAME_WIDTH$}{heads}",
        "hops of all by label, percent of the row"
    );
    for (sound, percent) in SOUNDS.into_iter().zip(confusion.percent()) {
        if let Some(percent) = percent {
            let cells: String = percent.iter().map(|share| format!("{share:>WIDTH$.1}")).collect();
            println!("{:NAME_WIDTH$}{cells}", name(sound));
        }
    }
}

/// What a person calls a sound.
pub fn name(sound: Sound) -> &'static str {
    match sound {
        Sound::Sibilant => "s sh ch",
        Sound::VoicedSibilant => "z zh j",
        Sound::WeakFricative => "f v th dh h",
        Sound::Vowel => "vowel",
        Sound::Sonorant => "nasal, liquid, glide",
        Sound::Stop => "stop",
        Sound::Breath => "breath",
        Sound::Rest => "rest",
        Sound::Other => "other",
    }
}

fn line(verdict: &Verdict) -> String {
    let published = match verdict.published {
        "" => String::new(),
        published => format!(" [{published}]"),
    };
    format!(
        "{:<6} {}: {}{published}",
        verdict.word(),
        verdict.goal,
        verdict.measured
    )
}
