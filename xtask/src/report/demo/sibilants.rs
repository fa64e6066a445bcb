//! Every sibilant of the song: where it is, and what becomes of it.

use siskin_tests::measurement::figures::properties::{asked_lu, proportions_lu};
use siskin_tests::measurement::voices::singer::{Kind, Section as Part, Song};

use super::chain::Renderings;
use crate::report::Section;
use crate::report::table::{Cell, Table};

/// The list, in the order of the song; `track` is its place in the player.
pub fn section(song: &Song, renderings: &Renderings, track: &str) -> Section {
    let heads = [
        "time",
        "section",
        "sound",
        "levelled\nLU",
        "asked\nLU",
        "two fixed stages\nLU",
        "Siskin\nLU",
    ];
    let rows = Part::ALL
        .into_iter()
        .flat_map(|part| rows(song, renderings, track, part));
    Section::new("Sibilants", Table::new(heads).with_rows(rows))
}

fn rows(song: &Song, renderings: &Renderings, track: &str, part: Part) -> Vec<Vec<Cell>> {
    let [sibilants, vowels] = [Kind::Sibilant, Kind::Vowel].map(|kind| song.spans(part, kind));
    let [before, fixed, siskin] = [&renderings.untamed, &renderings.fixed, &renderings.siskin]
        .map(|audio| proportions_lu(audio, &sibilants, &vowels));
    let labels = song.labels.iter();
    let labels = labels.filter(|label| label.section == part && label.kind == Kind::Sibilant);
    let cells = labels.enumerate().map(|(n, label)| {
        let figures = [before[n], asked_lu(before[n]), fixed[n], siskin[n]];
        let signed = figures.map(|figure| Cell::written(figure, format!("{figure:+.1}")));
        let start_s = label.start as f64 / song.sample_rate_hz;
        let first = [
            Cell::moment(track, start_s),
            Cell::words(part.name()),
            Cell::words(label.symbol),
        ];
        first.into_iter().chain(signed).collect()
    });
    cells.collect()
}
