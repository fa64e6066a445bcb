//! The figures as tables, and the goals that they are held against; and every sibilant of the song: where it is, and what
//! becomes of it.

use siskin_tests::measurement::figures::properties::{asked_lu, proportions_lu};
use siskin_tests::measurement::goal::{Goal, Verdict};
use siskin_tests::measurement::voices::singer::{Kind, Section as Part, Song};

use super::chain::Renderings;
use super::figures::{Figures, Row};
use crate::report::table::{Cell, Table};
use crate::report::{self, Section};

/// Rendering by rendering and section by section, then the goals.
pub fn sections(figures: &Figures) -> Vec<Section> {
    let heads = [
        "rendering, section",
        "sibilants",
        "proportion\nLU",
        "asked\nLU",
        "within 1 LU\n%",
        "within 2 LU\n%",
        "vowels\ndB",
        "beyond 0.5 dB\n%",
        "loudness\nLUFS",
    ];
    let note = format!(
        "the textbook leveller takes {:.1} dB from the chorus and lifts the verse's sibilants by {:+.1} LU; the fixed stages of \
         (c) have their thresholds {:+.1} dB from the chorus' sibilants",
        figures.chorus_reduction_db, figures.textbook_lift_lu, figures.fixed_offset_db
    );
    let table = Table::new(heads).with_rows(figures.rows.iter().map(row));
    let figures_of = Section::new("Renderings", table).with_notes(vec![note]);
    vec![figures_of, report::goals(&verdicts(figures))]
}

fn row(row: &Row) -> Vec<Cell> {
    let signed = |value: f32, digits: usize| Cell::written(value, format!("{value:+.digits$}"));
    vec![
        Cell::words(format!("({}) {}, {}", row.letter, row.name, row.section.name())),
        Cell::figure(row.sibilants as f64, 0),
        signed(row.proportion_lu, 1),
        signed(row.proportion_lu - row.error_lu, 1),
        Cell::figure(100.0 * row.within_1_lu, 0),
        Cell::figure(100.0 * row.within_2_lu, 0),
        signed(row.vowel_change_db, 2),
        Cell::figure(100.0 * row.vowels_beyond_half_db, 2),
        Cell::figure(row.loudness_lufs, 1),
    ]
}

/// The goals of the design that the demo covers, against what was measured.
fn verdicts(figures: &Figures) -> Vec<Verdict> {
    let verdict = |what: String, goal, figure: f32, digits, unit| {
        Verdict::of(format!("Siskin, {what}"), goal, f64::from(figure), digits, unit)
    };
    let rows = Part::ALL.into_iter().filter_map(|part| figures.row('d', part));
    let outside = rows.flat_map(|row| {
        let part = row.section.name();
        let [within, beyond] = [row.within_2_lu, row.vowels_beyond_half_db].map(|share| 100.0 * share);
        let vowels_db = row.vowel_change_db;
        let figures = [
            (
                "mean, off what is asked",
                Goal::Within(0.5),
                row.error_lu,
                2,
                "LU",
            ),
            ("within 2 LU of it", Goal::AtLeast(95.0), within, 0, "%"),
            ("vowels change", Goal::Within(0.1), vowels_db, 3, "dB"),
            ("vowels beyond 0.5 dB", Goal::Below(1.0), beyond, 2, "%"),
        ];
        figures.map(|(what, goal, figure, digits, unit)| {
            verdict(format!("{part}: {what}"), goal, figure, digits, unit)
        })
    });
    let own = figures.own.iter().map(|(part, share)| {
        let what = format!("{}: within 1 LU of its own threshold's rule", part.name());
        verdict(what, Goal::AtLeast(95.0), 100.0 * share, 0, "%")
    });
    let invariance = figures.invariance.iter().map(|(gain_db, residual_db)| {
        let what = format!("input {gain_db:+.0} dB: what changes beyond that gain");
        verdict(what, Goal::AtMost(-60.0), *residual_db, 0, "dB")
    });
    let lift = "its leveller lifts the verse's sibilants".to_owned();
    let lift = verdict(lift, Goal::AtMost(1.0), figures.own_lift_lu, 1, "LU");
    let parts = "voice and breaths apart, summed: highest peak of what is left of the whole".to_owned();
    let parts = verdict(parts, Goal::AtMost(-120.0), figures.parts_residual_db, 0, "dBFS");
    outside
        .chain(own)
        .chain(invariance)
        .chain([lift, parts])
        .collect()
}

/// The list, in the order of the song; `track` is its place in the player.
pub fn sibilants(song: &Song, renderings: &Renderings, track: &str) -> Section {
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
        .flat_map(|part| sibilant_rows(song, renderings, track, part));
    Section::new("Sibilants", Table::new(heads).with_rows(rows))
}

fn sibilant_rows(song: &Song, renderings: &Renderings, track: &str, part: Part) -> Vec<Vec<Cell>> {
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
