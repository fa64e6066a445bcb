//! The figures as tables.

use siskin_dsp::Channels;
use siskin_tests::measurement::bench::stages;
use siskin_tests::measurement::bench::{EngineLoad, Setting, Timed};
use siskin_tests::measurement::goal::Verdict;

use super::goals;
use super::instructions::Instructions;
use super::measured::Measured;
use crate::report::table::{Cell, Table};
use crate::report::{self, Section};

const CHANNEL_COUNTS: [&str; 2] = ["mono", "stereo"];

/// All tables, the goals first.
pub fn of(measured: &Measured, goals: &[Verdict]) -> Vec<Section> {
    let why = measured.not_counted.clone().into_iter().collect();
    vec![
        report::goals(goals),
        Section::new("What plays", frames(measured)),
        Section::new("Stages alone", stages_alone(measured)),
        Section::new("Blocks", blocks(measured)),
        Section::new("Memory", bytes(measured)),
        Section::new("Instructions", instructions(&measured.instructions)).with_notes(why),
    ]
}

/// What counting alone shows.
pub fn of_instructions(counted: &[Instructions]) -> Vec<Section> {
    vec![
        report::goals(&goals::of_instructions(counted)),
        Section::new("Instructions", instructions(counted)),
    ]
}

fn is_alone(timed: &Timed) -> bool {
    timed.name.starts_with("alone, ")
}

fn frames(measured: &Measured) -> Table {
    let rows = measured.timed.iter();
    let rows = rows.filter(|timed| !is_alone(timed));
    let row = |timed: &Timed| {
        vec![
            Cell::words(&timed.name),
            Cell::figure(timed.ns, 2),
            Cell::figure(timed.times_real_time(), 0),
            Cell::figure(100.0 / timed.times_real_time(), 3),
            Cell::figure(timed.spread_percent(), 0),
        ]
    };
    Table::new(["plays", "ns/frame", "x real time", "% of a core", "spread, %"]).with_rows(rows.map(row))
}

/// Every stage alone, the sums that an engine needs, and how far the engine is from them.
fn stages_alone(measured: &Measured) -> Table {
    let row = |name: String, [mono, stereo]: [f64; 2]| {
        vec![Cell::words(name), Cell::figure(mono, 2), Cell::figure(stereo, 2)]
    };
    let mut table = Table::new(["stage alone, 48 kHz", "mono, ns/frame", "stereo, ns/frame"]);
    for stage in stages::stages() {
        let ns = [1, 2].map(|channels| measured.ns(&stages::name(stage, channels)));
        table.push(row(stage.to_owned(), ns));
    }
    for setting in [Setting::AsNew, Setting::AllOn] {
        let name = setting.name();
        let sums = [1, 2].map(|channels| measured.bound_ns(channels, setting));
        let engines = [1, 2].map(|channels| measured.ns(&EngineLoad::new(channels, setting).name()));
        table.push(row(format!("the sum of what it needs, {name}"), sums));
        table.push(row(format!("the engine, {name}"), engines));
        let ratios = [engines[0] / sums[0], engines[1] / sums[1]];
        table.push(row(format!("the engine over the sum, {name}"), ratios));
    }
    table
}

/// Blocks of 32 samples.
fn blocks(measured: &Measured) -> Table {
    let row = |channels: usize| {
        let worst = measured.worst[channels];
        let ns = [worst.median_ns, worst.p99_ns, worst.worst_ns].map(|ns| Cell::figure(ns, 0));
        let name = format!("engine, {}, all on, 48 kHz", CHANNEL_COUNTS[channels]);
        let blocks = Cell::figure(worst.blocks as f64, 0);
        let where_and_how = [worst.ratio(), worst.worst_at_s].map(|figure| Cell::figure(figure, 2));
        [Cell::words(name), blocks]
            .into_iter()
            .chain(ns)
            .chain(where_and_how)
            .collect()
    };
    let heads = [
        "blocks of 32 samples",
        "blocks",
        "median, ns",
        "99 %, ns",
        "worst, ns",
        "worst/median",
        "worst at, s",
    ];
    Table::new(heads).with_rows([row(0), row(1)])
}

fn bytes(measured: &Measured) -> Table {
    let rows = measured.memory.iter().map(|(name, bytes)| {
        vec![
            Cell::words(name),
            Cell::figure(*bytes, 0),
            Cell::figure(bytes / 1024.0, 1),
        ]
    });
    Table::new(["holds", "bytes", "KiB"]).with_rows(rows)
}

fn instructions(counted: &[Instructions]) -> Table {
    let rows = counted.iter().map(|instructions| {
        let counted = instructions.counted;
        let (channels, setting) = (CHANNEL_COUNTS[counted.channels - 1], counted.setting.name());
        let apart = match counted.link {
            Channels::Linked => "",
            Channels::Apart => ", channels apart",
        };
        let (block, ms) = (counted.block, counted.lookahead.ms());
        let name = format!("engine, {channels}, 48 kHz, block {block}, {setting}, lookahead {ms} ms{apart}");
        vec![Cell::words(name), Cell::figure(instructions.a_frame, 1)]
    });
    Table::new(["is counted (valgrind)", "instructions/frame"]).with_rows(rows)
}
