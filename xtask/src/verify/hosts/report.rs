//! The table, for a person and for a program.

use std::time::Duration;

use anyhow::Result;

use super::bounce::Bounce;
use super::compare::{RESIDUAL_DB, Residuals};
use super::program::{Case, Program};
use super::surveyed::Agreement;
use crate::report::Section;
use crate::report::table::{Cell, Table};

/// What came of one host with one plug-in.
pub struct Row {
    host: &'static str,
    case: Case,
    run_time: Duration,
    outcome: Outcome,
}

/// What was found in a bounce.
pub enum Finding {
    /// Against a rendering.
    Rendered(Residuals),
    /// Against a survey.
    Surveyed(Agreement),
}

enum Outcome {
    Came(Box<Bounce>, Finding),
    Failed(String),
    Missing(String),
}

impl Row {
    /// The host ran.
    pub fn of(program: &Program, case: Case, run_time: Duration, came: Result<(Bounce, Finding)>) -> Self {
        let outcome = match came {
            Ok((bounce, finding)) => Outcome::Came(Box::new(bounce), finding),
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
                "not tried: needs these Debian packages: {}",
                packages.join(" ")
            )),
        }
    }

    /// Whether it came out otherwise than rendered. A host that is not there has not.
    pub fn failed(&self) -> bool {
        match &self.outcome {
            Outcome::Came(_, Finding::Rendered(residuals)) => residuals.as_played_db > RESIDUAL_DB,
            Outcome::Came(_, Finding::Surveyed(agreement)) => !agreement.holds(),
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

/// All rows. Equal sounds have no residual: null in JSON.
pub fn section(rows: &[Row]) -> Section {
    let heads = [
        "host",
        "version",
        "format",
        "plug-in",
        "latency",
        "moves",
        "as asked\ndB",
        "as played\ndB",
        "time\ns",
        "verdict",
        "what was done",
    ];
    let note = format!(
        "as asked, as played: difference from `cargo xtask render`, worse channel; as played: with the host's own places for \
the automation, with the plug-in's clocks where the host let them begin, and with the lead as late as the host sends it. \
Asked: {RESIDUAL_DB} dB as played."
    );
    let table = Table::new(heads).with_rows(rows.iter().map(cells));
    Section::new("Hosts", table).with_notes(vec![note])
}

fn cells(row: &Row) -> Vec<Cell> {
    let (about, done) = match &row.outcome {
        Outcome::Came(bounce, finding) => {
            let latency = bounce
                .answer
                .latency_samples
                .map_or_else(Cell::nothing, |samples| Cell::figure(samples as f64, 0));
            let [asked, played] = match finding {
                Finding::Rendered(residuals) => [residuals.as_asked_db, residuals.as_played_db].map(decibels),
                Finding::Surveyed(_) => [(); 2].map(|()| Cell::nothing()),
            };
            let about = [
                Cell::words(&bounce.answer.version),
                Cell::words(&bounce.answer.format),
                Cell::words(row.case.plug_in()),
                latency,
                Cell::figure(bounce.answer.moves.len() as f64, 0),
                asked,
                played,
            ];
            (
                about,
                format!("{}{}", bounce.answer.done, peculiarities(bounce, finding)),
            )
        }
        Outcome::Failed(why) | Outcome::Missing(why) => {
            let mut about = [(); 7].map(|()| Cell::nothing());
            about[2] = Cell::words(row.case.plug_in());
            (about, why.clone())
        }
    };
    let end = [
        Cell::figure(row.run_time.as_secs_f64(), 0),
        Cell::words(row.verdict()),
        Cell::words(done),
    ];
    std::iter::once(Cell::words(row.host))
        .chain(about)
        .chain(end)
        .collect()
}

fn decibels(residual_db: f32) -> Cell {
    match residual_db == f32::NEG_INFINITY {
        true => Cell::written(residual_db, "equal"),
        false => Cell::figure(residual_db, 1),
    }
}

fn peculiarities(bounce: &Bounce, finding: &Finding) -> String {
    let residuals = match finding {
        Finding::Rendered(residuals) => residuals,
        Finding::Surveyed(agreement) => return in_words(agreement),
    };
    let mut text = String::new();
    if residuals.begun_before_samples > 0 {
        text += &format!(
            "; the plug-in's clocks begin {} samples before the song",
            residuals.begun_before_samples
        );
    }
    if bounce.answer.lead_late_samples > 0 {
        text += &format!(
            "; the lead comes {} samples late",
            bounce.answer.lead_late_samples
        );
    }
    text
}

fn in_words(agreement: &Agreement) -> String {
    let Agreement {
        sibilants,
        missing,
        apart_hops,
        apart_db,
        apart_lu,
    } = agreement;
    format!(
        "; as the survey of the song, but for {missing} of {sibilants} reductions; at most {apart_hops} hops and {apart_db:.3} dB \
apart, loudness {apart_lu:.3} LU"
    )
}
