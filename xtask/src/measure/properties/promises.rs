//! What must hold of the plug-ins, what shows it, and what was reached.

use super::measured::Line;
use super::sections::{named, reached};
use crate::report::table::{Cell, Table};

struct Promise {
    property: &'static str,
    goal: &'static str,
    /// Tests and commands that fail, or say so, where it does not hold.
    shown_by: &'static str,
    /// The measured rows, by property and figure; empty where only tests hold it.
    rows: &'static [(&'static str, &'static str)],
}

const fn promise(
    property: &'static str,
    goal: &'static str,
    shown_by: &'static str,
    rows: &'static [(&'static str, &'static str)],
) -> Promise {
    Promise {
        property,
        goal,
        shown_by,
        rows,
    }
}

#[rustfmt::skip]
const PROMISES: &[Promise] = &[
    promise("identity", "nothing to do, all gains 0 dB: the output is the delayed input, bit for bit",
        "properties (three rates, three lookaheads, bypass too), host_clap",
        &[("identity", "samples that differ")]),
    promise("level invariance", "input gain of -18 to +12 dB, Leveller off: the output differs by that gain only",
        "properties, demo", &[("level invariance", "residual at -18, +12 dB")]),
    promise("proportion kept (own rule)",
        "against the reported threshold, sibilants come out as Proportion, Ratio and Range ask, soft and loud alike",
        "properties, demo", &[("proportion, own rule", "within 1 LU")]),
    promise("proportion kept (from outside)", "the same against the labelled vowels within 1 s either side",
        "properties, song, demo",
        &[("proportion, from outside", "mean of a section"), ("proportion, from outside", "within 2 LU"),
          ("proportion, from outside", "within 1 LU")]),
    promise("vowels untouched", "labelled vowels keep their level",
        "properties, song, demo", &[("vowels untouched", "mean of a section"), ("vowels untouched", "beyond 0.5 dB")]),
    promise("lookahead of 300 ms", "the same with the voice on both sides of a sibilant known",
        "properties, mixing",
        &[("lookahead of 300 ms", "within 2 LU"), ("lookahead of 300 ms", "within 1 LU"),
          ("lookahead of 300 ms", "vowels beyond 0.5 dB")]),
    promise("start anywhere",
        "0.5 s of voiced material after a start, a jump, a bypass or with a wrong Start level, each sibilant is reduced as \
         in a run from the top; passes of a loop are alike. A Follow above 0.5 s remembers longer",
        "properties, timeline, conform_clap",
        &[("start anywhere", "worst sibilant"), ("- after a jump", "worst sibilant"),
          ("- Start level 12 dB off", "worst sibilant"), ("- after 5 s of bypass", "worst sibilant"),
          ("- loop, ten passes", "worst sibilant")]),
    promise("section changes",
        "sections that jump by 18 dB: after 300 ms of new voice the proportion is kept; before, never more than Range and \
         never a boost",
        "properties",
        &[("sections, 18 dB, no rest", "within 2 LU"), ("sections, 18 dB, a rest", "within 2 LU"),
          ("- first 300 ms", "beyond Range"), ("- first 300 ms", "boost")]),
    promise("any block size", "1 to 8192 samples, in any mixture, under any automation: the same output, bit for bit",
        "properties, automation, host_clap", &[("any block size", "samples that differ")]),
    promise("any sample rate", "44.1 to 192 kHz: each sibilant is reduced as at 48 kHz",
        "properties (six rates)", &[("any sample rate", "worst sibilant"), ("any sample rate", "mean size")]),
    promise("repeatable", "a reset gives a first run; offline and real time agree bit for bit",
        "properties, host_clap", &[("repeatable", "differ after a reset"), ("repeatable", "differ, two bounces")]),
    promise("no lisp", "the reduction never exceeds Range and never takes a sibilant below the threshold",
        "properties (random settings)",
        &[("no lisp", "beyond Range, reported"), ("no lisp", "beyond Range, measured"), ("no lisp", "below the threshold")]),
    promise("onset", "with lookahead, 90 % of the reduction is reached within 1 ms of the onset and gone 20 ms after the end",
        "properties",
        &[("onset, its rise cut out", "stands after 1 ms, mean"), ("onset, its rise cut out", "left 20 ms after, <0.5 dB")]),
    promise("moving edge",
        "below the own band of s and z less is lost than with a fixed edge; the movement itself stays below -80 dB",
        "moving_edge, the tests of the edge in dsp-core", &[]),
    promise("Reach",
        "0 %: nothing below Detect from changes by more than 0.5 dB at the deepest Range; 100 %: flat within 0.2 dB",
        "reach", &[]),
    promise("reference voice",
        "double, backing stack and breath track, 12 dB up and down, come out as the lead's voice asks; unconnected it is \
         Siskin, bit for bit; it falls back without a jump",
        "properties, song",
        &[("double, +-12 dB", "to the lead, within 2 LU"), ("backing stack, +-12 dB", "to the lead, within 2 LU"),
          ("breath track, +-12 dB", "to the lead, within 2 LU"), ("side-chain unconnected", "samples that differ"),
          ("side-chain falls silent", "step of the voice level"), ("side-chain falls silent", "gain step beyond others")]),
    promise("breaths", "held at Breath proportion to 1 dB; voice untouched; the gain does not fall back before a word",
        "breaths (its bounds are what was reached, in part below the goal)", &[]),
    promise("leveller: sibilants", "at 20 dB of reduction the gain moves by less than 0.5 dB during a labelled sibilant",
        "leveller in tests (its bounds are what was reached, in part below the goal)", &[]),
    promise("leveller: no pumping",
        "200 Hz at 10 dB of reduction: below 0.5 % THD; at 2 to 8 Hz the gain wanders less than the textbook's",
        "leveller in dsp-core and in tests", &[]),
    promise("leveller: auto makeup", "the voice is within 1 LU of its level before; what was levelled stays level",
        "leveller in tests (its bounds are what was reached, in part below the goal)", &[]),
    promise("real time", "no allocation, lock or panic; denormals, NaN and infinities do no harm",
        "real_time, properties, host_real_time, host_system_calls; all tests of hosts on the allocation-guarded library", &[]),
    promise("no click",
        "a step, sweep or flutter of any automatable parameter on a 1 kHz tone: outside 500 to 2000 Hz below -80 dB of the \
         tone; a change arrives to 99 % within 40 ms",
        "automation (`LOUDER_CLICKS_DB` lists what is louder on a steady sibilant or breath)", &[]),
    promise("nothing sticks",
        "silence, direct current, full-scale square, +24 dB over, impulses, random bits, 10 minutes of random settings: \
         finite, no denormal; 0.5 s later within 0.1 dB of a run without",
        "robustness (its bounds are what was reached: 0.15 dB, 0.42 dB with the leveller on)", &[]),
    promise("any host", "each call of CLAP and VST3 in any order that they allow; mistakes of hosts do no harm",
        "conform, conform_clap, conform_vst3, conform_text, conform_mistakes, host_rules, soak", &[]),
    promise("saved songs", "states of every release open; damaged ones change nothing; loading makes no jump in level",
        "state_keeping", &[]),
];

/// Property, goal, what shows it, and what was reached on the singer, on synthetic and on real voices.
pub fn table(lines: &[Line]) -> Table {
    let row = |promise: &Promise| {
        let rows = promise.rows.iter().filter_map(|name| named(*name));
        let figures: Vec<String> = rows
            .map(|row| {
                let goal = row.goal.text(row.unit);
                let goal = if goal.is_empty() {
                    goal
                } else {
                    format!(" ({goal})")
                };
                format!("{}{goal}: {}", row.what, reached(row, lines).join(" / "))
            })
            .collect();
        let figures = if figures.is_empty() {
            "held by the tests".to_owned()
        } else {
            figures.join("; ")
        };
        [promise.property, promise.goal, promise.shown_by, &figures]
            .map(Cell::words)
            .into()
    };
    Table::new([
        "property",
        "goal",
        "shown by",
        "reached: singer / synthetic / real",
    ])
    .with_rows(PROMISES.iter().map(row))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_promise_names_rows_that_exist() {
        for promise in PROMISES {
            for name in promise.rows {
                assert!(named(*name).is_some(), "{}: {name:?}", promise.property);
            }
        }
    }
}
