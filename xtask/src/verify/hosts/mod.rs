//! `cargo xtask hosts`: real audio programs, without a person at them.
//!
//! A song of our own goes into a session of each host, Siskin on its track, Proportion automated by section, the lead on the
//! side-chain of Siskin Follow where the host has one. The session is saved, closed, opened again and bounced; the bounce is
//! compared, sample by sample, with what `cargo xtask render` makes of the same. In Ardour a song is also played with the settings
//! that a survey proposes, and compared with the survey. The scripts lie in `tests/hosts`.

mod bounce;
mod compare;
mod program;
mod report;
mod session;
mod surveyed;

use std::fs;
use std::path::Path;
use std::time::Instant;

use anyhow::{Context, Result, ensure};
use clap::Args;

use crate::build::bundle;
use crate::report::output::Output;
use crate::report::progress;
use crate::setup::files;
use crate::setup::python;
use crate::setup::workspace::Workspace;
use bounce::Bounce;
use compare::Reference;
use program::{Case, Program};
use report::{Finding, Row};
use session::Session;
use surveyed::Surveyed;

/// What a person asks of the round.
#[derive(Debug, Clone, Args)]
pub struct HostsOptions {
    /// Only this host: ardour, qtractor, pedalboard or dawdreamer; may be given again
    #[arg(long, value_name = "NAME")]
    pub only: Vec<String>,
    #[command(flatten)]
    output: Output,
}

/// Runs every host that is asked for, or that is there, and prints the table.
pub fn run(options: &HostsOptions) -> Result<()> {
    options.output.check([])?;
    let programs = program::chosen(&options.only)?;
    let workspace = Workspace::locate()?;
    let python = python::TESTS.interpreter(&workspace)?;
    let bundles = bundle::build()?;
    let folder = workspace.target.join("hosts");
    let session = Session::write(&folder, &bundles)?;
    let reference = Reference::new(&bundles.clap, &session)?;

    let cases: usize = programs.iter().map(|program| program.cases.len()).sum();
    let bar = progress::counting(cases as u64)?;
    let mut rows = Vec::new();
    for program in programs {
        for case in program.cases {
            bar.set_message(format!("{}, {}", program.name, case.plug_in()));
            bar.tick();
            rows.push(try_out(program, *case, &session, &reference, &python));
            bar.inc(1);
        }
    }
    bar.finish_and_clear();
    let sections = [report::section(&rows)];
    options.output.report(&sections)?;
    let failed = rows.iter().filter(|row| row.failed()).count();
    ensure!(
        failed == 0,
        "{failed} of {} did not come out as rendered; target/hosts holds each host's files",
        rows.len()
    );
    Ok(())
}

/// One host with one plug-in, whatever comes of it.
fn try_out(
    program: &'static Program,
    case: Case,
    session: &Session,
    reference: &Reference,
    python: &Path,
) -> Row {
    let missing = program.missing();
    if !missing.is_empty() {
        return Row::missing(program, case, &missing);
    }
    let started = Instant::now();
    let came = match case {
        Case::Surveyed => Surveyed::of(&session.folder, &session.bundles).and_then(|surveyed| {
            let bounce = Bounce::of(program, case, &surveyed.session, python)?;
            let agreement = surveyed.compare(&bounce.audio)?;
            Ok((bounce, Finding::Surveyed(agreement)))
        }),
        _ => Bounce::of(program, case, session, python).and_then(|bounce| {
            let residuals = reference.compare(case, &bounce)?;
            Ok((bounce, Finding::Rendered(residuals)))
        }),
    };
    Row::of(program, case, started.elapsed(), came)
}

/// An empty folder at `path`, whatever was there: it holds nothing but what this command made.
fn emptied(path: &Path) -> Result<()> {
    files::remove(path)?;
    fs::create_dir_all(path).with_context(|| format!("cannot make the folder {}", path.display()))
}
