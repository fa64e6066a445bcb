//! The page as Markdown.

use super::goals::Goal;
use super::measured::Measured;
use super::table::{Table, blocks, bytes, calls, frames, goal_table, instructions, limits, stages_alone};

const HEAD: &str = "# How fast, measured

Written by `cargo xtask bench --page`, on the machine of that day: ratios travel, nanoseconds do not. The measuring is in
`tests/src/measurement/bench`. `cargo xtask null` shows that a faster version sounds as the one before.

## Goals

";

const NOTES: &str = "
- Everything that is timed runs in turn, round after round, so that a machine that slows down slows down all of it. Each 2 s of
  sound count as they were in their quickest round; *spread* is by how much the middle round was longer. Time is that of the processor for the one thread.
- The sound: verse, middle and chorus of the synthetic singer, 10 s, after the hard leveller and the boost. *All on*: leveller
  with auto makeup, sibilance, breath with a low cut of 120 Hz, output gain -1 dB. Blocks of 512 samples where none is named.
- *Worst block*: 60 passes after a reset, which do the same work bit for bit; the least time of each block counts, less what
  reading the clock takes.
- *Over the bound*: the engine over the sum of kernels that do nothing but what must be done (below). The sum counts shelf and
  low cut at every sample; the engine lets both sleep while there is nothing for them to do, so a part of its way below the
  bound's 1.5 is that.
- pedalboard's processors get each 2 s in one call and cut them into blocks themselves. The demo's two stages and compressor
  are plain code that is written to be right.
- A frame is one sample of every channel.

";

/// The page. It says by which command it was made, and holds no figure that was not measured in that run.
pub fn text(measured: &Measured, goals: &[Goal]) -> String {
    let mut page = HEAD.to_owned();
    write_table(&mut page, &goal_table(goals));
    page.push_str(NOTES);
    let chapters = [
        ("What plays", frames(measured)),
        ("What is called", calls(measured)),
        ("The limit", limits(measured)),
        ("Stages alone", stages_alone(measured)),
        ("Blocks", blocks(measured)),
        ("Memory", bytes(measured)),
        ("Instructions", instructions(measured)),
    ];
    for (title, table) in chapters {
        page.push_str(&format!("## {title}\n\n"));
        write_table(&mut page, &table);
        page.push('\n');
    }
    if let Some(why) = &measured.not_counted {
        page.push_str(&format!("{why}\n"));
    }
    page.trim_end().to_owned() + "\n"
}

fn write_table(page: &mut String, table: &Table) {
    let line = |cells: &[String]| format!("| {} |\n", cells.join(" | "));
    page.push_str(&line(&table.heads));
    let rule: Vec<_> = (0..table.heads.len())
        .map(|column| if column == 0 { "---" } else { "---:" }.to_owned())
        .collect();
    page.push_str(&line(&rule));
    table.rows.iter().for_each(|row| page.push_str(&line(row)));
}
