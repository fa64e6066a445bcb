//! Every voice in every setting, both versions after one another.

use anyhow::{Context, Result};
use indicatif::ProgressBar;
use siskin_tests::hosts::clap::Bundle;
use siskin_tests::measurement::null::{Residual, VARIANTS, Variant, Voice, compare};
use siskin_tests::measurement::voices::corpus::Recording;

use crate::report::table::{Cell, Table};
use crate::report::{Section, progress};

/// Rates at which the song is sung, Hz, and whether every setting is tried there.
const RATES_HZ: [f64; 4] = [48_000.0, 44_100.0, 96_000.0, 192_000.0];
/// Where the settings that are not tried everywhere are tried.
const MAIN_RATE_HZ: f64 = RATES_HZ[0];

/// One comparison.
pub struct Row {
    /// Voice, rate, channels and setting.
    pub name: String,
    /// What is left.
    pub residual: Residual,
}

/// Plays everything that `only` does not leave out.
pub fn measure(bundles: [&Bundle; 2], recordings: &[Recording], only: Option<&str>) -> Result<Vec<Row>> {
    let mut rows = Vec::new();
    let bar = progress::counting((RATES_HZ.len() + recordings.len()) as u64)?;
    for rate_hz in RATES_HZ {
        bar.set_message(format!("the song at {} kHz", rate_hz / 1e3));
        let voice = Voice::song(rate_hz);
        let variants = VARIANTS
            .iter()
            .filter(|variant| variant.everywhere || rate_hz == MAIN_RATE_HZ);
        for variant in variants {
            play(&mut rows, bundles, &voice, variant, only, &bar)?;
        }
        bar.inc(1);
    }
    for recording in recordings {
        bar.set_message(recording.name.clone());
        let voice = Voice::recording(recording);
        for variant in VARIANTS.iter().filter(|variant| variant.everywhere) {
            play(&mut rows, bundles, &voice, variant, only, &bar)?;
        }
        bar.inc(1);
    }
    bar.finish_and_clear();
    Ok(rows)
}

fn play(
    rows: &mut Vec<Row>,
    bundles: [&Bundle; 2],
    voice: &Voice,
    variant: &Variant,
    only: Option<&str>,
    bar: &ProgressBar,
) -> Result<()> {
    let channels: &[usize] = if variant.everywhere { &[1, 2] } else { &[2] };
    for &channels in channels {
        let heard = ["mono", "stereo"][channels - 1];
        let name = format!(
            "{} {} kHz {heard}, {}",
            voice.name,
            voice.sample_rate_hz / 1e3,
            variant.name
        );
        if only.is_some_and(|only| !name.contains(only)) {
            continue;
        }
        bar.set_message(name.clone());
        let residual = compare(bundles, voice, channels, variant).with_context(|| name.clone())?;
        rows.push(Row { name, residual });
    }
    Ok(())
}

/// One line a row, and what all of them come to.
pub fn section(rows: &[Row], below_db: f32) -> Section {
    let row = |Row { name, residual }: &Row| {
        let is_below = residual.is_below(below_db);
        vec![
            Cell::words(name),
            Cell::figure(residual.power_db, 1).judged(Some(is_below)),
            Cell::figure(residual.worst_sample_dbfs, 1),
            Cell::figure(residual.worst_at_s, 3),
            Cell::figure(residual.own_work_db, 1),
            Cell::words(if residual.same_bits { "the same" } else { "differ" }),
        ]
    };
    let alike = rows.iter().filter(|row| row.residual.same_bits).count();
    let worst = rows
        .iter()
        .max_by(|one, other| one.residual.power_db.total_cmp(&other.residual.power_db));
    let note = worst.map(|Row { name, residual }| {
        let count = rows.len();
        format!(
            "{count} rows, {alike} the same bit for bit; most left: {:.1} dB ({name})",
            residual.power_db
        )
    });
    let heads = [
        "",
        "left\ndB",
        "worst sample\ndBFS",
        "at\ns",
        "own work\ndB",
        "bits",
    ];
    let table = Table::new(heads).with_rows(rows.iter().map(row));
    Section::new("Left of the difference; ! is too much", table).with_notes(note.into_iter().collect())
}
