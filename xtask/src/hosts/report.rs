//! The table, for a person and for a program.

use std::time::Duration;

use anyhow::Result;
use serde_json::{Value, json};

use super::bounce::Bounce;
use super::compare::{RESIDUAL_DB, Residuals};
use super::program::{Case, Program};

/// What came of one host with one plug-in.
pub struct Row {
    host: &'static str,
    case: Case,
    run_time: Duration,
    outcome: Outcome,
}

enum Outcome {
    Came(Bounce, Residuals),
    Failed(String),
    Missing(String),
}

impl Row {
    /// The host ran.
    pub fn of(program: &Program, case: Case, run_time: Duration, came: Result<(Bounce, Residuals)>) -> Self {
        let outcome = match came {
            Ok((bounce, residuals)) => Outcome::Came(bounce, residuals),
            Err(error) => Outcome::Failed(format!("{error:#}")),
        };
        Self {
            host: program.name,
            case,
            run_time,
            outcome,
        }
    }

    /// The host is not there.
    pub fn missing(program: &Program, case: Case, packages: &[&str]) -> Self {
        Self {
            host: program.name,
            case,
            run_time: Duration::ZERO,
            outcome: Outcome::Missing(format!(
                "not tried: wants these Debian packages: {}",
                packages.join(" ")
            )),
        }
    }

    /// Whether it came out otherwise than rendered. A host that is not there has not.
    #[must_use]
    pub fn failed(&self) -> bool {
        match &self.outcome {
            Outcome::Came(_, residuals) => residuals.as_played_db > RESIDUAL_DB,
            Outcome::Failed(_) => true,
            Outcome::Missing(_) => false,
        }
    }

    fn verdict(&self) -> &'static str {
        match &self.outcome {
            Outcome::Missing(_) => "MISSING",
            _ if self.failed() => "FAILED",
            _ => "ok",
        }
    }
}

/// Prints all rows.
pub fn print(rows: &[Row]) {
    println!(
        "{:<10} {:<14} {:<6} {:<13} {:>7} {:>9} {:>9}  {:>5}  {:<7} what was done",
        "host", "version", "format", "plug-in", "latency", "as asked", "as played", "time", ""
    );
    for row in rows {
        println!("{}", line(row));
    }
    println!(
        "\nas asked, as played: difference from `cargo xtask render`, worse channel; as played with the host's own places for the \
         automation,\nwith the plug-in's clocks where the host let them begin, and with the lead as late as the host sends it. Wanted: \
         {RESIDUAL_DB} dB as played."
    );
}

fn line(row: &Row) -> String {
    let head = |version: &str, format: &str| {
        format!(
            "{:<10} {version:<14} {format:<6} {:<13}",
            row.host,
            row.case.plug_in()
        )
    };
    let end = format!("{:>4.0} s  {:<7}", row.run_time.as_secs_f64(), row.verdict());
    match &row.outcome {
        Outcome::Came(bounce, residuals) => format!(
            "{} {:>7} {:>9} {:>9} {end} {}{}",
            head(&bounce.version, &bounce.format),
            bounce
                .latency_samples
                .map_or("-".into(), |samples| samples.to_string()),
            decibels(residuals.as_asked_db),
            decibels(residuals.as_played_db),
            bounce.done,
            peculiarities(bounce, residuals),
        ),
        Outcome::Failed(why) | Outcome::Missing(why) => format!("{} {:>27} {end} {why}", head("", ""), ""),
    }
}

fn decibels(residual_db: f32) -> String {
    if residual_db == f32::NEG_INFINITY {
        "equal".into()
    } else {
        format!("{residual_db:.1} dB")
    }
}

fn peculiarities(bounce: &Bounce, residuals: &Residuals) -> String {
    let mut told = String::new();
    if residuals.begun_before_samples > 0 {
        told += &format!(
            "; the plug-in's clocks begin {} samples before the song",
            residuals.begun_before_samples
        );
    }
    if bounce.lead_late_samples > 0 {
        told += &format!("; the lead comes {} samples late", bounce.lead_late_samples);
    }
    told
}

/// The rows for a program. Equal sounds have no residual: null.
#[must_use]
pub fn json(rows: &[Row]) -> String {
    let rows: Vec<Value> = rows.iter().map(row_as_json).collect();
    format!("{:#}\n", Value::from(rows))
}

fn row_as_json(row: &Row) -> Value {
    let mut told = json!({
        "host": row.host,
        "plug_in": row.case.plug_in(),
        "verdict": row.verdict(),
        "run_time_s": row.run_time.as_secs_f64(),
    });
    match &row.outcome {
        Outcome::Came(bounce, residuals) => {
            told["version"] = json!(bounce.version);
            told["format"] = json!(bounce.format);
            told["done"] = json!(bounce.done);
            told["latency_samples"] = json!(bounce.latency_samples);
            told["moves"] = json!(bounce.moves.len());
            told["residual_as_asked_db"] = json!(residuals.as_asked_db);
            told["residual_as_played_db"] = json!(residuals.as_played_db);
            told["begun_before_samples"] = json!(residuals.begun_before_samples);
            told["lead_late_samples"] = json!(bounce.lead_late_samples);
        }
        Outcome::Failed(why) | Outcome::Missing(why) => told["why"] = json!(why),
    }
    told
}
