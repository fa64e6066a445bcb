//! The figures as tables, and the goals that they are held against.

use siskin_tests::measurement::goal::Verdict;
use siskin_tests::measurement::voices::singer::Section as Part;

use super::figures::{Figures, Row};
use crate::report::table::{Cell, Table};
use crate::report::{self, Section};

/// The goals of the design that the demo covers.
const SECTION_MEAN_LU: f32 = 0.5;
const SHARE: f32 = 0.95;
const VOWEL_CHANGE_DB: f32 = 0.1;
const VOWELS_BEYOND: f32 = 0.01;
const INVARIANCE_DB: f32 = -60.0;
const OWN_LIFT_LU: f32 = 1.0;

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
        "the textbook leveller takes {:.1} dB from the chorus; the fixed stages of (c) have their thresholds {:+.1} dB from the chorus' sibilants",
        figures.chorus_reduction_db, figures.fixed_offset_db
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
        signed(row.target_lu, 1),
        Cell::figure(100.0 * row.within_1_lu, 0),
        Cell::figure(100.0 * row.within_2_lu, 0),
        signed(row.vowel_change_db, 2),
        Cell::figure(100.0 * row.vowels_beyond_half_db, 2),
        Cell::figure(row.loudness_lufs, 1),
    ]
}

fn verdict(what: String, goal: &str, measured: String, met: bool) -> Verdict {
    Verdict {
        what,
        goal: goal.to_owned(),
        measured,
        met: Some(met),
        published: "",
    }
}

/// Every goal against what was measured.
fn verdicts(figures: &Figures) -> Vec<Verdict> {
    let rows = Part::ALL
        .into_iter()
        .filter_map(|section| figures.row('d', section));
    let outside = rows.flat_map(outside);
    let own = figures.own.iter().map(|own| {
        verdict(
            format!("Siskin, {}: its own threshold's rule", own.section.name()),
            "95 % within 1 LU",
            format!(
                "{:.0} %, mean {:+.2} LU",
                100.0 * own.within_1_lu,
                own.mean_error_lu
            ),
            own.within_1_lu >= SHARE,
        )
    });
    let invariance = figures.invariance.iter().map(|(gain_db, residual_db)| {
        verdict(
            format!("input {gain_db:+.0} dB changes the output by that gain alone"),
            "residual <= -60 dB",
            format!("{residual_db:.0} dB"),
            *residual_db <= INVARIANCE_DB,
        )
    });
    let lift = verdict(
        "Siskin's leveller lifts the verse's sibilants".to_owned(),
        "<= 1 LU",
        format!(
            "{:+.1} LU (the textbook compressor: {:+.1} LU)",
            figures.own_lift_lu, figures.textbook_lift_lu
        ),
        figures.own_lift_lu <= OWN_LIFT_LU,
    );
    outside.chain(own).chain(invariance).chain([lift]).collect()
}

/// Siskin after the leveller, measured from outside.
fn outside(row: &Row) -> [Verdict; 3] {
    let section = row.section.name();
    let error_lu = row.proportion_lu - row.target_lu;
    let [within_1, within_2, beyond] =
        [row.within_1_lu, row.within_2_lu, row.vowels_beyond_half_db].map(|share| 100.0 * share);
    let vowels_db = row.vowel_change_db;
    [
        verdict(
            format!("Siskin, {section}: mean against what is asked"),
            "+-0.5 LU",
            format!("{error_lu:+.2} LU"),
            error_lu.abs() <= SECTION_MEAN_LU,
        ),
        verdict(
            format!("Siskin, {section}: each against what is asked"),
            "95 % within 2 LU",
            format!("{within_2:.0} % ({within_1:.0} % within 1 LU)"),
            row.within_2_lu >= SHARE,
        ),
        verdict(
            format!("Siskin, {section}: vowels change"),
            "<= 0.1 dB, beyond 0.5 dB < 1 %",
            format!("{vowels_db:+.3} dB, {beyond:.2} %"),
            vowels_db.abs() <= VOWEL_CHANGE_DB && row.vowels_beyond_half_db < VOWELS_BEYOND,
        ),
    ]
}
