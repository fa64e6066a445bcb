//! The figures as a table for a person and as JSON for a program.

use serde_json::{Value, json};
use siskin_tests::measurement::voices::singer::Section;

use super::figures::{Figures, Row};

/// The goals of the design that the demo speaks of.
const SECTION_MEAN_LU: f32 = 0.5;
const SHARE: f32 = 0.95;
const VOWEL_CHANGE_DB: f32 = 0.1;
const VOWELS_BEYOND: f32 = 0.01;
const INVARIANCE_DB: f32 = -60.0;
const OWN_LIFT_LU: f32 = 1.0;

/// One goal, what was measured against it and whether it was met.
pub struct Verdict {
    pub goal: String,
    pub measured: String,
    pub met: bool,
}

/// Prints the table, then the goals.
pub fn print(figures: &Figures) {
    println!(
        "\nrendering and section                             sibilants  proportion   asked   within 1 LU  within 2 LU  vowels    loudness"
    );
    for row in &figures.rows {
        println!("{}", line(row));
    }
    println!();
    for verdict in verdicts(figures) {
        println!(
            "{} {}: {}",
            if verdict.met { "met   " } else { "MISSED" },
            verdict.goal,
            verdict.measured
        );
    }
    println!(
        "\nthe textbook leveller takes {:.1} dB from the chorus; the fixed stages of (c) have their thresholds {:+.1} dB from the chorus' sibilants",
        figures.chorus_reduction_db, figures.fixed_offset_db
    );
}

fn line(row: &Row) -> String {
    let name = format!("({}) {}, {}", row.letter, row.name, row.section.name());
    format!(
        "{name:<52} {:>6}  {:>+6.1} LU  {:>+6.1} LU  {:>7.0} %  {:>9.0} %  {:>+6.2} dB  {:>5.1} LUFS",
        row.sibilants,
        row.proportion_lu,
        row.target_lu,
        100.0 * row.within_1_lu,
        100.0 * row.within_2_lu,
        row.vowel_change_db,
        row.loudness_lufs
    )
}

/// Every goal against what was measured.
pub fn verdicts(figures: &Figures) -> Vec<Verdict> {
    let mut verdicts = Vec::new();
    for section in Section::ALL {
        if let Some(row) = figures.row('d', section) {
            verdicts.extend(outside(row));
        }
    }
    verdicts.extend(figures.own.iter().map(|own| Verdict {
        goal: format!(
            "Siskin, {}: 95 % within 1 LU of its own threshold's rule",
            own.section.name()
        ),
        measured: format!(
            "{:.0} %, mean {:+.2} LU",
            100.0 * own.within_1_lu,
            own.mean_error_lu
        ),
        met: own.within_1_lu >= SHARE,
    }));
    verdicts.extend(figures.invariance.iter().map(|(gain_db, residual_db)| Verdict {
        goal: format!(
            "input {gain_db:+.0} dB changes the output by that gain alone, residual at most -60 dB"
        ),
        measured: format!("{residual_db:.0} dB"),
        met: *residual_db <= INVARIANCE_DB,
    }));
    verdicts.push(Verdict {
        goal: "Siskin's leveller lifts the verse's sibilants by at most 1 LU".to_owned(),
        measured: format!(
            "{:+.1} LU (the textbook compressor: {:+.1} LU)",
            figures.own_lift_lu, figures.textbook_lift_lu
        ),
        met: figures.own_lift_lu <= OWN_LIFT_LU,
    });
    verdicts
}

/// Siskin after the leveller, measured from outside.
fn outside(row: &Row) -> [Verdict; 3] {
    let section = row.section.name();
    let error_lu = row.proportion_lu - row.target_lu;
    [
        Verdict {
            goal: format!("Siskin, {section}: mean within 0.5 LU of what is asked"),
            measured: format!("{error_lu:+.2} LU"),
            met: error_lu.abs() <= SECTION_MEAN_LU,
        },
        Verdict {
            goal: format!("Siskin, {section}: 95 % within 2 LU of what is asked"),
            measured: format!(
                "{:.0} % ({:.0} % within 1 LU)",
                100.0 * row.within_2_lu,
                100.0 * row.within_1_lu
            ),
            met: row.within_2_lu >= SHARE,
        },
        Verdict {
            goal: format!(
                "Siskin, {section}: vowels change by at most 0.1 dB, beyond 0.5 dB on fewer than 1 %"
            ),
            measured: format!(
                "{:+.3} dB, {:.2} %",
                row.vowel_change_db,
                100.0 * row.vowels_beyond_half_db
            ),
            met: row.vowel_change_db.abs() <= VOWEL_CHANGE_DB && row.vowels_beyond_half_db < VOWELS_BEYOND,
        },
    ]
}

/// The same as JSON.
pub fn json(figures: &Figures) -> String {
    let rows: Vec<Value> = figures.rows.iter().map(row_json).collect();
    let own: Vec<Value> = figures
        .own
        .iter()
        .map(|own| json!({ "section": own.section.name(), "within_1_lu": own.within_1_lu, "mean_error_lu": own.mean_error_lu }))
        .collect();
    let goals: Vec<Value> = verdicts(figures)
        .into_iter()
        .map(|verdict| json!({ "goal": verdict.goal, "measured": verdict.measured, "met": verdict.met }))
        .collect();
    let invariance: Vec<Value> = figures
        .invariance
        .iter()
        .map(|(gain_db, residual_db)| json!({ "input_gain_db": gain_db, "residual_db": residual_db }))
        .collect();
    let value = json!({
        "rows": rows,
        "own_threshold": own,
        "invariance": invariance,
        "own_leveller_lift_lu": figures.own_lift_lu,
        "textbook_leveller_lift_lu": figures.textbook_lift_lu,
        "chorus_reduction_db": figures.chorus_reduction_db,
        "goals": goals,
    });
    format!("{value:#}\n")
}

fn row_json(row: &Row) -> Value {
    json!({
        "rendering": row.letter.to_string(),
        "name": row.name,
        "section": row.section.name(),
        "sibilants": row.sibilants,
        "proportion_lu": row.proportion_lu,
        "asked_lu": row.target_lu,
        "within_1_lu": row.within_1_lu,
        "within_2_lu": row.within_2_lu,
        "vowel_change_db": row.vowel_change_db,
        "vowels_beyond_half_db": row.vowels_beyond_half_db,
        "loudness_lufs": row.loudness_lufs,
    })
}
