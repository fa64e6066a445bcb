//! Every voice in every setting, both versions after one another.

use anyhow::{Context, Result};
use indicatif::ProgressBar;
use serde_json::json;
use siskin_tests::hosts::clap::Bundle;
use siskin_tests::measurement::null::{Residual, VARIANTS, Variant, Voice, compare};
use siskin_tests::measurement::voices::corpus::Recording;

use crate::progress;

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

/// One line a row.
pub fn print(rows: &[Row], below_db: f32) {
    let width = rows
        .iter()
        .map(|row| row.name.chars().count())
        .max()
        .unwrap_or_default();
    println!(
        "{:width$}  {:>9}  {:>12}  {:>9}  {:>9}  {:>9}",
        "", "left, dB", "worst sample", "at, s", "own work", "bits"
    );
    for Row { name, residual } in rows {
        println!(
            "{name:width$}  {:>9.1}  {:>7.1} dBFS  {:>9.3}  {:>6.1} dB  {:>9}{}",
            residual.power_db,
            residual.worst_sample_dbfs,
            residual.worst_at_s,
            residual.own_work_db,
            if residual.same_bits { "the same" } else { "differ" },
            if residual.is_below(below_db) {
                ""
            } else {
                "  TOO MUCH"
            },
        );
    }
    let alike = rows.iter().filter(|row| row.residual.same_bits).count();
    let worst = rows
        .iter()
        .max_by(|one, other| one.residual.power_db.total_cmp(&other.residual.power_db));
    if let Some(worst) = worst {
        println!(
            "{} rows, {alike} the same bit for bit; most left: {:.1} dB ({})",
            rows.len(),
            worst.residual.power_db,
            worst.name
        );
    }
}

/// The rows for a program; minus infinity becomes null.
pub fn json(rows: &[Row]) -> String {
    let rows: Vec<_> = rows
        .iter()
        .map(|Row { name, residual }| {
            json!({
                "name": name,
                "residual_db": residual.power_db,
                "worst_sample_dbfs": residual.worst_sample_dbfs,
                "worst_at_s": residual.worst_at_s,
                "own_work_db": residual.own_work_db,
                "same_bits": residual.same_bits,
            })
        })
        .collect();
    format!("{:#}\n", json!(rows))
}
