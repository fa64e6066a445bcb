//! All keys and pointer gestures.
//!
//! Anywhere, unless a value is being typed:
//!
//! | key | action |
//! | --- | --- |
//! | `Tab`, `Shift`+`Tab` | next or previous control or button; a frame marks it |
//! | `L` | Listen: output, removed, detector, output |
//! | `F` | freeze or run the timeline |
//! | `1`, `2` | switch to setting 1, setting 2 |
//! | `P` | propose: listen, then show a proposal |
//! | `Escape` | close a menu, cancel a proposal or text entry, release the focus |
//!
//! On a control:
//!
//! | gesture | action |
//! | --- | --- |
//! | drag along the track | change the value; with `Shift` ten times finer |
//! | wheel over a number | one small step; with `Shift` a tenth of one |
//! | `Right`, `Up` / `Left`, `Down` | one small step up or down; with `Shift` a tenth of one |
//! | `Page Up` / `Page Down` | ten small steps |
//! | click on the value, or `Enter` | type; `Enter` sets the value, `Escape` or a click elsewhere cancels |
//! | double-click, `Delete` or `Backspace` | reset to the default |
//! | right-click or `M` | menu: reset, type, copy the id |
//!
//! Timeline: drag the threshold line, or anywhere right of the plot, up or down for Proportion (with the keys and the
//! double-click of any control); a click elsewhere in the plot freezes. Spectrum: drag the edge for Detect from.
//!
//! The space bar belongs to the host. Each drag, wheel notch, key press or typed value is one gesture to the host.

use egui::{Key, Modifiers, Ui};

/// A shortcut that works anywhere on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shortcut {
    /// Switch Listen to the next of output, removed, detector.
    Listen,
    /// Freeze or run the timeline.
    Freeze,
    /// Switch to setting 0 or 1.
    Setting(usize),
    /// Start listening for a proposal, or cancel.
    Propose,
}

/// Keys of the shortcuts.
const SHORTCUTS: [(Key, Shortcut); 5] = [
    (Key::L, Shortcut::Listen),
    (Key::F, Shortcut::Freeze),
    (Key::Num1, Shortcut::Setting(0)),
    (Key::Num2, Shortcut::Setting(1)),
    (Key::P, Shortcut::Propose),
];

/// Shortcuts pressed in this frame.
pub fn pressed(ui: &Ui) -> Vec<Shortcut> {
    let pressed = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
    let shortcuts = SHORTCUTS.into_iter().filter(|(key, _)| pressed(*key));
    shortcuts.map(|(_, shortcut)| shortcut).collect()
}
