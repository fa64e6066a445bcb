//! The table for a person at a terminal, and its rows for whoever else writes them.

use siskin_tests::measurement::bench::{Setting, Timed, Unit};
use siskin_tests::measurement::bench::{limit, stages};

use super::goals::Goal;
use super::measured::Measured;
use crate::columns;

/// What stands where nothing was measured.
const NOTHING: &str = "-";

/// A table as text: its heads, then its rows; the first column is words.
pub struct Table {
    /// Of the columns.
    pub heads: Vec<String>,
    /// As many cells a row as there are heads.
    pub rows: Vec<Vec<String>>,
}

/// Prints everything.
pub fn print(measured: &Measured, goals: &[Goal]) {
    for table in [
        frames(measured),
        calls(measured),
        limits(measured),
        stages_alone(measured),
        blocks(measured),
    ] {
        print_table(&table);
        println!();
    }
    for table in [bytes(measured), instructions(measured), goal_table(goals)] {
        print_table(&table);
        println!();
    }
    if let Some(why) = &measured.not_counted {
        println!("{why}\n");
    }
}

fn print_table(table: &Table) {
    if table.rows.is_empty() {
        return;
    }
    let lines: Vec<&Vec<String>> = std::iter::once(&table.heads).chain(&table.rows).collect();
    columns::print(&lines, |column| column == 0);
}

fn heads(heads: &[&str]) -> Vec<String> {
    heads.iter().map(|head| (*head).to_owned()).collect()
}

fn is_kernel(timed: &Timed) -> bool {
    timed.name.starts_with("limit, ") || timed.name.starts_with("alone, ")
}

/// What plays sound.
pub fn frames(measured: &Measured) -> Table {
    let of_frames = measured
        .timed
        .iter()
        .filter(|timed| timed.unit == Unit::Frame && !is_kernel(timed));
    let row = |timed: &Timed| {
        vec![
            timed.name.clone(),
            format!("{:.2}", timed.ns),
            format!("{:.0}", timed.times_real_time()),
            format!("{:.3}", 100.0 / timed.times_real_time()),
            format!("{:.0}", timed.spread_percent()),
        ]
    };
    Table {
        heads: heads(&["plays", "ns/frame", "x real time", "% of a core", "spread, %"]),
        rows: of_frames.map(row).collect(),
    }
}

/// What is called now and then.
pub fn calls(measured: &Measured) -> Table {
    let of_calls = measured.timed.iter().filter(|timed| timed.unit == Unit::Call);
    let row = |timed: &Timed| {
        vec![
            timed.name.clone(),
            format!("{:.2}", timed.ns / 1e3),
            format!("{:.0}", timed.spread_percent()),
        ]
    };
    Table {
        heads: heads(&["is called", "us/call", "spread, %"]),
        rows: of_calls.map(row).collect(),
    }
}

/// The kernels of the limit, their sums and how far the engine is from them.
pub fn limits(measured: &Measured) -> Table {
    let ns = |ns: f64| format!("{ns:.2}");
    let mut rows: Vec<Vec<String>> = measured.kernels[0]
        .iter()
        .map(|&kernel| {
            let [mono, stereo] = [1, 2].map(|channels| ns(measured.ns(&limit::name(kernel, channels))));
            let needed = if kernel.as_new { "" } else { " (all on only)" };
            vec![
                format!("per {}: {}{needed}", kernel.per, kernel.name),
                mono,
                stereo,
            ]
        })
        .collect();
    for setting in [Setting::AsNew, Setting::AllOn] {
        let bound = [1, 2].map(|channels| measured.bound_ns(channels, setting));
        let engine = [1, 2].map(|channels| {
            let load = siskin_tests::measurement::bench::EngineLoad::new(channels, setting);
            measured.ns(&load.name())
        });
        let name = setting.name();
        let row =
            |what: &str, values: [f64; 2]| vec![format!("{what}, {name}"), ns(values[0]), ns(values[1])];
        rows.push(row("the sum", bound));
        rows.push(row("the engine", engine));
        rows.push(row(
            "the engine over the sum",
            [engine[0] / bound[0], engine[1] / bound[1]],
        ));
    }
    Table {
        heads: heads(&["must be done, 48 kHz", "mono, ns/frame", "stereo, ns/frame"]),
        rows,
    }
}

/// Every stage alone, and how far it is from what it must do.
pub fn stages_alone(measured: &Measured) -> Table {
    let row = |stage: &str| {
        let mut cells = vec![stage.to_owned()];
        for channels in [1, 2] {
            let alone_ns = measured.ns(&stages::name(stage, channels));
            let bound_ns = measured.bound_of_stage_ns(stage, channels);
            cells.push(format!("{alone_ns:.2}"));
            cells.push(bound_ns.map_or(NOTHING.to_owned(), |bound_ns| {
                format!("{:.2}", alone_ns / bound_ns)
            }));
        }
        cells
    };
    Table {
        heads: heads(&[
            "stage alone, 48 kHz",
            "mono, ns/frame",
            "over its kernels",
            "stereo, ns/frame",
            "over its kernels",
        ]),
        rows: stages::stages().into_iter().map(row).collect(),
    }
}

/// Blocks of 32 samples.
pub fn blocks(measured: &Measured) -> Table {
    let row = |channels: usize| {
        let worst = measured.worst[channels - 1];
        vec![
            format!("engine, {}, all on, 48 kHz", ["mono", "stereo"][channels - 1]),
            worst.blocks.to_string(),
            format!("{:.0}", worst.median_ns),
            format!("{:.0}", worst.p99_ns),
            format!("{:.0}", worst.worst_ns),
            format!("{:.2}", worst.ratio()),
            format!("{:.2}", worst.worst_at_s),
        ]
    };
    Table {
        heads: heads(&[
            "blocks of 32 samples",
            "blocks",
            "median, ns",
            "99 %, ns",
            "worst, ns",
            "worst/median",
            "worst at, s",
        ]),
        rows: vec![row(1), row(2)],
    }
}

/// Memory.
pub fn bytes(measured: &Measured) -> Table {
    let row = |(name, bytes): &(String, f64)| {
        vec![
            name.clone(),
            format!("{bytes:.0}"),
            format!("{:.1}", bytes / 1024.0),
        ]
    };
    Table {
        heads: heads(&["holds", "bytes", "KiB"]),
        rows: measured.memory.iter().map(row).collect(),
    }
}

/// Instructions.
pub fn instructions(measured: &Measured) -> Table {
    let name = |channels: usize| ["mono", "stereo"][channels - 1];
    let rows = measured.instructions.iter().map(|instructions| {
        let counted = instructions.counted;
        vec![
            format!(
                "engine, {}, 48 kHz, block {}, {}",
                name(counted.channels),
                counted.block,
                counted.setting.name()
            ),
            format!("{:.1}", instructions.a_frame),
        ]
    });
    let rows: Vec<_> = rows.collect();
    let rows = match (&measured.not_counted, rows.is_empty()) {
        (Some(_), true) => vec![vec!["engine".into(), NOTHING.into()]],
        _ => rows,
    };
    Table {
        heads: heads(&["is counted (valgrind)", "instructions/frame"]),
        rows,
    }
}

/// The goals.
pub fn goal_table(goals: &[Goal]) -> Table {
    let row = |goal: &Goal| {
        let met = if goal.met { "met" } else { "MISSED" };
        vec![
            goal.measure.to_owned(),
            goal.asked.clone(),
            goal.text.clone(),
            met.to_owned(),
        ]
    };
    Table {
        heads: heads(&["goal", "asked", "measured", ""]),
        rows: goals.iter().map(row).collect(),
    }
}
