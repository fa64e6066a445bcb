//! Keys and gestures, all of them.
//!
//! Anywhere, while nothing is typed:
//!
//! | key | does |
//! | --- | --- |
//! | `Tab`, `Shift`+`Tab` | to the next control or button, or the one before; a frame shows where |
//! | `L` | Listen: output, removed, detector, and around again |
//! | `F` | freezes the stream, and lets it run on |
//! | `1`, `2` | goes to setting 1, to setting 2 |
//! | `P` | proposes: listens, then shows what it would set |
//! | `Escape` | closes a menu, leaves a proposal, gives up what is being typed, lets go of the control |
//!
//! On a control:
//!
//! | gesture | does |
//! | --- | --- |
//! | drag along the track | moves the value; with `Shift` ten times finer |
//! | wheel | one small step; with `Shift` a tenth of one |
//! | `Right`, `Up` / `Left`, `Down` | one small step up or down; with `Shift` a tenth of one |
//! | `Page Up` / `Page Down` | ten small steps |
//! | click on the value, or `Enter` | types; `Enter` takes it, `Escape` or a click elsewhere gives it up |
//! | double-click, `Delete` or `Backspace` | the default |
//! | right-click, or the menu key's stand-in `M` | its menu: default, type, copy the id |
//!
//! On the stream: drag the threshold's line or anything right of the plot up and down for Proportion (the same keys and
//! the same double-click as any control); a click elsewhere in the plot freezes. On the spectrum: drag the edge for Detect
//! from.
//!
//! The space bar is the host's.
//!
//! Each drag, wheel turn, key or typed value is one gesture of the host: it begins, sets and ends.

use egui::{Key, Modifiers, Ui};

/// What a key asks for, anywhere on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    /// Listen to the next of output, removed, detector.
    Listen,
    /// Freeze the stream, or let it run on.
    Freeze,
    /// Go to setting 0 or 1.
    Setting(usize),
    /// Listen for a proposal.
    Propose,
}

/// The keys and what they ask for.
const ACTS: [(Key, Act); 5] = [
    (Key::L, Act::Listen),
    (Key::F, Act::Freeze),
    (Key::Num1, Act::Setting(0)),
    (Key::Num2, Act::Setting(1)),
    (Key::P, Act::Propose),
];

/// What was asked for in this frame.
pub fn pressed(ui: &Ui) -> Vec<Act> {
    let pressed = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    let acts = ACTS.into_iter().filter(|(key, _)| pressed(*key));
    acts.map(|(_, act)| act).collect()
}
