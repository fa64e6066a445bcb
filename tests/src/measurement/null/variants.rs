//! The ways in which an insert is set and played for a null test.

use crate::hosts::automation::Point;
use crate::hosts::built::{SISKIN, SISKIN_FOLLOW};

/// What goes into the insert.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Input {
    /// The voice as it was sung, boosted at the top: for Siskin's own leveller.
    Raw,
    /// The voice after the hard leveller and the boost.
    Levelled,
}

/// One way to set and play an insert.
#[derive(Debug, Clone, Copy)]
pub struct Variant {
    /// For a person.
    pub name: &'static str,
    /// The plug-in.
    pub plug_in: &'static str,
    /// What goes into it.
    pub input: Input,
    /// Parameters and the text of their values; all else as new.
    pub settings: &'static [(&'static str, &'static str)],
    /// Whether parameters move on the way.
    pub automated: bool,
    /// Block sizes in samples, in turn.
    pub blocks: &'static [usize],
    /// Whether it is played at every rate in mono and stereo, or at 48 kHz in stereo only.
    pub everywhere: bool,
}

/// As new.
const AS_NEW: Variant = Variant {
    name: "as new",
    plug_in: SISKIN,
    input: Input::Levelled,
    settings: &[],
    automated: false,
    blocks: &[512],
    everywhere: false,
};

/// Every stage works.
pub const ALL_ON: &[(&str, &str)] = &[
    ("lev_on", "on"),
    ("lev_auto", "on"),
    ("br_on", "on"),
    ("br_cut", "120 Hz"),
    ("out_gain", "-1 dB"),
];

/// An insert that is played at 48 kHz in stereo only.
const fn here(name: &'static str, settings: &'static [(&'static str, &'static str)]) -> Variant {
    Variant {
        name,
        settings,
        ..AS_NEW
    }
}

/// An insert whose input is not levelled, played everywhere.
const fn raw(name: &'static str, settings: &'static [(&'static str, &'static str)]) -> Variant {
    Variant {
        input: Input::Raw,
        everywhere: true,
        ..here(name, settings)
    }
}

/// All of them.
#[rustfmt::skip]
pub const VARIANTS: &[Variant] = &[
    Variant { everywhere: true, ..AS_NEW },
    raw("all on", ALL_ON),
    Variant { automated: true, ..raw("all on, automated", ALL_ON) },
    raw("hard leveller of its own",
        &[("lev_on", "on"), ("lev_thr", "-42 dB"), ("lev_ratio", "6"), ("lev_gain", "21 dB"), ("lev_att", "0.3 ms"), ("lev_rel", "60 ms")]),
    here("Reach 0 %", &[("sib_reach", "0 %"), ("sib_prop", "-12 LU")]),
    here("Reach 60 %, infinite ratio", &[("sib_reach", "60 %"), ("sib_ratio", "inf"), ("sib_prop", "-12 LU")]),
    here("Reach 100 %, Range 24 dB", &[("sib_reach", "100 %"), ("sib_range", "24 dB"), ("sib_prop", "-18 LU")]),
    here("Range 3 dB, slow", &[("sib_range", "3 dB"), ("sib_att", "8 ms"), ("sib_rel", "150 ms")]),
    here("Detect from 2.5 kHz, fast", &[("sib_from", "2.5 kHz"), ("sib_att", "0.1 ms"), ("sib_rel", "5 ms")]),
    here("Detect from 9 kHz, short Follow", &[("sib_from", "9 kHz"), ("fol_time", "80 ms")]),
    here("breaths only, low cut 650 Hz",
        &[("sib_on", "off"), ("br_on", "on"), ("br_range", "24 dB"), ("br_cut", "650 Hz")]),
    here("Listen removed", &[("listen", "removed"), ("br_on", "on")]),
    here("Listen detector", &[("listen", "detector")]),
    here("bypass", &[("bypass", "on")]),
    here("lookahead 0", &[("look", "0 ms")]),
    Variant { input: Input::Raw, ..here("all on, lookahead 2 ms",
        &[("look", "2 ms"), ("lev_on", "on"), ("lev_auto", "on"), ("br_on", "on"), ("br_cut", "120 Hz")]) },
    Variant { input: Input::Raw, automated: true, blocks: &[512, 1, 64, 33, 2048, 7, 16, 8192, 127], ..here("all on, automated, mixed blocks",
        ALL_ON) },
    Variant { plug_in: SISKIN_FOLLOW, ..here("Follow, the lead on the side-chain",
        &[("sib_prop", "-11 LU"), ("sib_range", "18 dB"), ("br_on", "on")]) },
];

/// Parameters that move, and the values between which each goes to and fro.
const MOVES: [(&str, [&str; 2]); 16] = [
    ("sib_prop", ["-12 LU", "-4 LU"]),
    ("out_gain", ["-9 dB", "-1 dB"]),
    ("sib_reach", ["100 %", "10 %"]),
    ("lev_thr", ["-45 dB", "-25 dB"]),
    ("sib_range", ["4 dB", "16 dB"]),
    ("br_prop", ["-30 LU", "-15 LU"]),
    ("lev_auto", ["off", "on"]),
    ("sib_from", ["6 kHz", "3 kHz"]),
    ("lev_gain", ["6 dB", "-2 dB"]),
    ("br_cut", ["off", "300 Hz"]),
    ("sib_on", ["off", "on"]),
    ("lev_ratio", ["12", "2"]),
    ("listen", ["removed", "output"]),
    ("fol_time", ["90 ms", "600 ms"]),
    ("bypass", ["on", "off"]),
    ("lev_on", ["off", "on"]),
];
/// From one move to the next, s: no whole number of steps, hops or blocks.
const MOVE_EVERY_S: f64 = 0.237_13;

/// Moves of many parameters, one after another, over `duration_s`.
pub fn moves(duration_s: f64) -> Vec<Point> {
    (0..(duration_s / MOVE_EVERY_S) as usize)
        .map(|turn| {
            let (id, values) = MOVES[turn % MOVES.len()];
            Point {
                line: turn + 1,
                time_s: turn as f64 * MOVE_EVERY_S,
                id: id.into(),
                value: values[turn / MOVES.len() % 2].into(),
            }
        })
        .collect()
}
