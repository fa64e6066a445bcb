//! The page as Markdown.

use std::fmt::Write;

use super::chapters::Report;
use super::table::{MISSED, Table, rows, voices};

/// The page. It says by which command it was made, and holds nothing that was not measured in that run.
pub fn text(report: &Report) -> String {
    let mut page = String::from("# What holds, measured\n\n");
    page.push_str(
        "Written by `cargo xtask properties --markdown docs/properties.md --force`. The measures are in\n\
         `tests/src/properties`, the goals in `rows.rs` there; `tests/tests/properties.rs` holds them on fewer voices.\n\n",
    );
    let _ = writeln!(
        page,
        "Every voice goes through the hard leveller and the boost of the demo, then through a new Siskin. Singer: three\n\
         seeds of the synthetic singer's song. Synthetic and real: the labelled voices of [ears.md](ears.md). `{MISSED}` misses\n\
         the goal.\n"
    );
    write_table(&mut page, &rows(&report.siskin));
    page.push_str(
        "\nReal time (no allocation, lock or panic; denormals, NaN and infinities) is shown by `dsp-core/tests/real_time.rs`,\n\
         `dsp-core/tests/properties.rs` and `tests/tests/host_guard.rs`.\n",
    );
    page.push_str(
        "\n## Voice by voice\n\nClips of one package and language share a line. kHz: what the narrowest of its sources can hold;\n\
         under 22 the sibilants of that voice lack their top, at every rate at which it is played. s: what was played.\n\n",
    );
    write_table(&mut page, &voices(&report.voices));
    if !report.stack.is_empty() {
        page.push_str(
            "\n## The practice that one insert replaces\n\nTwo stages with fixed thresholds, one before the leveller and one at the end, \
             set for the last section of each voice\n(of the song: the chorus), so that its sibilants come out as Siskin would ask. Input gain and jumps of \
             level meet the\nlast stage, as they meet Siskin.\n\n",
        );
        write_table(&mut page, &rows(&report.stack));
    }
    page
}

fn write_table(page: &mut String, table: &Table) {
    let line = |cells: &[String]| format!("| {} |\n", cells.join(" | "));
    let heads = table.heads.iter().map(|head| head.join(" ").trim().to_owned());
    page.push_str(&line(&heads.collect::<Vec<_>>()));
    page.push_str(&line(&vec!["---".to_owned(); table.heads.len()]));
    table.rows.iter().for_each(|row| page.push_str(&line(row)));
}
