//! `cargo xtask hard-voices`: levelled voices under hard conditions, against the rule and against known labels.

use anyhow::{Result, bail, ensure};
use clap::Args;
use rayon::prelude::*;
use siskin_dsp::Lookahead;
use siskin_tests::measurement::figures::hard_voices::{Tally, Trial};
use siskin_tests::measurement::figures::properties::{SINGERS, Voice, VoiceKind};
use siskin_tests::measurement::voices::corpus::{Corpus, Half};

use super::on_all_cores;
use crate::report::Section;
use crate::report::output::Output;
use crate::report::table::{Cell, Table};
use crate::setup::corpus;
use crate::setup::workspace::Workspace;

/// What a person asks of the hard voices.
#[derive(Debug, Args)]
pub struct HardVoicesOptions {
    /// Only voices whose line contains this, as "singer", "espeak-de" or "promo"
    #[arg(long, value_name = "NAME")]
    voice: Option<String>,
    /// Only conditions whose name contains this, as "reverb", "pitch" or "clean"
    #[arg(long, value_name = "NAME")]
    condition: Option<String>,
    /// Only this half of the voices
    #[arg(long, value_enum)]
    half: Option<Half>,
    /// The lookahead, by its index: 2 is 5 ms, 3 is 300 ms
    #[arg(long, value_name = "INDEX", default_value_t = Lookahead::Long as usize)]
    lookahead: usize,
    #[command(flatten)]
    output: Output,
}

/// One voice and what came of it.
struct Tried<'a> {
    voice: &'a Voice,
    trial: Trial,
    tally: Tally,
}

/// One row: some voices under one condition.
struct Row {
    kind: VoiceKind,
    trial: Trial,
    tally: Tally,
    /// Percent of the vowels of the voice that loses most of them.
    worst_vowels: Option<f64>,
}

/// Tries the voices and prints the figures.
///
/// # Errors
///
/// A corpus that is missing, a name that nothing has, a file that exists already (without `--force`) or cannot be
/// written.
pub fn run(options: &HardVoicesOptions) -> Result<()> {
    options.output.check([])?;
    let corpus = Corpus::load(&corpus::require(&Workspace::locate()?)?)?;
    let contains =
        |asked: &Option<String>, name: &str| asked.as_deref().is_none_or(|asked| name.contains(asked));
    let trials: Vec<Trial> = Trial::all()
        .filter(|trial| contains(&options.condition, &trial.name()))
        .collect();
    ensure!(!trials.is_empty(), "no condition has that name");
    let mut voices: Vec<Voice> = SINGERS.par_iter().map(|seed| Voice::singer(*seed)).collect();
    voices.par_extend(corpus.recordings.par_iter().filter_map(Voice::of));
    let is_in_half = |half: Half| options.half.is_none_or(|asked| asked == half);
    voices.retain(|voice| is_in_half(voice.half) && contains(&options.voice, &voice.line));
    ensure!(!voices.is_empty(), "no voice has that name");
    let Some(&lookahead) = Lookahead::ALL.get(options.lookahead) else {
        bail!("there is no lookahead with this index");
    };
    let tried = try_all(&voices, &trials, lookahead)?;
    let sections: Vec<Section> = Half::ALL
        .into_iter()
        .map(|half| (half, rows(&tried, &trials, half)))
        .filter(|(_, rows)| !rows.is_empty())
        .map(|(half, rows)| Section::new(half.title(), table(&rows)))
        .collect();
    options.output.report(&sections)
}

fn try_all<'a>(voices: &'a [Voice], trials: &[Trial], lookahead: Lookahead) -> Result<Vec<Tried<'a>>> {
    let jobs: Vec<(&Voice, Trial)> = trials
        .iter()
        .flat_map(|trial| voices.iter().map(move |voice| (voice, *trial)))
        .collect();
    on_all_cores(&jobs, |&(voice, trial), _| Tried {
        voice,
        trial,
        tally: trial.tally(voice, lookahead),
    })
}

fn rows(tried: &[Tried<'_>], trials: &[Trial], half: Half) -> Vec<Row> {
    let row = |trial: Trial, kind: VoiceKind| {
        let of =
            |tried: &&Tried<'_>| tried.trial == trial && tried.voice.half == half && tried.voice.kind == kind;
        let those: Vec<&Tried<'_>> = tried.iter().filter(of).collect();
        (!those.is_empty()).then(|| Row {
            kind,
            trial,
            worst_vowels: worst_vowels(&those),
            tally: those.iter().map(|tried| tried.tally.clone()).sum(),
        })
    };
    let pairs = trials
        .iter()
        .flat_map(|trial| VoiceKind::ALL.map(|kind| (*trial, kind)));
    pairs.filter_map(|(trial, kind)| row(trial, kind)).collect()
}

/// Clips of one line are one voice.
fn worst_vowels(tried: &[&Tried<'_>]) -> Option<f64> {
    let lines: std::collections::BTreeSet<&str> =
        tried.iter().map(|tried| tried.voice.line.as_str()).collect();
    let percent = |line: &str| {
        let those = tried.iter().filter(|tried| tried.voice.line == line);
        let sum: Tally = those.map(|tried| tried.tally.clone()).sum();
        sum.changed_vowels.percent()
    };
    lines.into_iter().filter_map(percent).reduce(f64::max)
}

/// One column: its head, its digits after the point, and its figure.
type Column = (&'static str, usize, fn(&Tally) -> Option<f64>);

fn within(errors_lu: &[f32], bound_lu: f32) -> Option<f64> {
    Tally::percent_within(errors_lu, bound_lu).map(f64::from)
}

fn count(readings: &[f32]) -> Option<f64> {
    (!readings.is_empty()).then_some(readings.len() as f64)
}

fn farthest(readings_lu: &[f32]) -> Option<f64> {
    Tally::farthest_lu(readings_lu).map(f64::from)
}

/// All of them but the worst voice.
#[rustfmt::skip]
const COLUMNS: &[Column] = &[
    ("\nsibilants", 0, |tally| count(&tally.errors_lu)),
    ("within\n2 LU, %", 1, |tally| within(&tally.errors_lu, 2.0)),
    ("known labels\nback, 2 LU", 1, |tally| within(&tally.back_errors_lu, 2.0)),
    ("known labels\nboth, 2 LU", 1, |tally| within(&tally.both_sides_errors_lu, 2.0)),
    ("within\n1 LU, %", 1, |tally| within(&tally.errors_lu, 1.0)),
    ("known labels\nback, 1 LU", 1, |tally| within(&tally.back_errors_lu, 1.0)),
    ("known labels\nboth, 1 LU", 1, |tally| within(&tally.both_sides_errors_lu, 1.0)),
    ("first\nsibilants", 0, |tally| count(&tally.first_errors_lu)),
    ("first s\n<2 LU, %", 1, |tally| within(&tally.first_errors_lu, 2.0)),
    ("false\na minute", 2, |tally| tally.false_events.per_minute()),
    ("vowels\n>0.5 dB, %", 2, |tally| tally.changed_vowels.percent()),
    ("\npauses", 0, |tally| count(&tally.pauses_lu)),
    ("pauses\n>3 LU, %", 1, |tally| within(&tally.pauses_lu, 3.0).map(|percent| 100.0 - percent)),
    ("pauses\nworst, LU", 1, |tally| farthest(&tally.pauses_lu)),
    ("reading\nmoved, LU", 2, |tally| farthest(&tally.moved_lu)),
];

fn table(rows: &[Row]) -> Table {
    let heads = ["condition", "voices"].into_iter();
    let heads = heads.chain(COLUMNS.iter().map(|(head, ..)| *head));
    let cell = |figure: Option<f64>, digits| Cell::figure(figure.unwrap_or(f64::NAN), digits);
    let row = |row: &Row| {
        let about = [row.trial.name(), row.kind.name().to_owned()]
            .map(Cell::words)
            .into_iter();
        let figures = COLUMNS
            .iter()
            .map(|(_, digits, figure)| cell(figure(&row.tally), *digits));
        about.chain(figures).chain([cell(row.worst_vowels, 2)]).collect()
    };
    Table::new(heads.chain(["worst voice\n>0.5 dB, %"])).with_rows(rows.iter().map(row))
}
