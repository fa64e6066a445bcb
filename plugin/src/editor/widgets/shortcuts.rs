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
//! | `Ctrl`+`Z`, `Ctrl`+`Shift`+`Z` | undo, redo what was changed in this window (`Cmd` on macOS) |
//! | `P` | propose: listen, then show a proposal |
//! | `S` | show the song's sections and what is left to do, or the stages |
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
//! | click on the value, or `Enter` | type; `Enter` sets a value within the range, `Escape` or a click elsewhere cancels |
//! | double-click, `Delete` or `Backspace` | reset to the default |
//! | right-click or `M` | menu: reset, type, copy the id, the host's menu |
//!
//! Timeline: drag the threshold line, or anywhere right of the plot, up or down for Proportion (with the keys and the
//! double-click of any control); a click elsewhere in the plot freezes. Spectrum: drag the edge for Detect from.
//!
//! Strip of the song: a click, or `Left` and `Right`, choose a sibilant. List of what is left to do: a click, or `Up` and `Down`.
//!
//! The space bar belongs to the host. Each drag, wheel notch, key press or typed value is one gesture to the host.

use egui::{Event, InputState, Key, Modifiers, Ui};

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
    /// Show the panel of the song, or the stages.
    Song,
    /// Undo the last change.
    Undo,
    /// Redo what was undone last.
    Redo,
}

/// Keys of the shortcuts. Redo comes before undo, whose keys are a part of its own.
const SHORTCUTS: [(Modifiers, Key, Shortcut); 8] = [
    (Modifiers::NONE, Key::L, Shortcut::Listen),
    (Modifiers::NONE, Key::F, Shortcut::Freeze),
    (Modifiers::NONE, Key::Num1, Shortcut::Setting(0)),
    (Modifiers::NONE, Key::Num2, Shortcut::Setting(1)),
    (Modifiers::NONE, Key::P, Shortcut::Propose),
    (Modifiers::NONE, Key::S, Shortcut::Song),
    (Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::Z, Shortcut::Redo),
    (Modifiers::COMMAND, Key::Z, Shortcut::Undo),
];

/// Shortcuts pressed in this frame.
pub fn pressed(ui: &Ui) -> Vec<Shortcut> {
    let pressed = |modifiers, key| {
        ui.input_mut(|input| input.consume_key(modifiers, key) || is_capital_typed(input, modifiers, key))
    };
    let shortcuts = SHORTCUTS
        .into_iter()
        .filter(|(modifiers, key, _)| pressed(*modifiers, *key));
    shortcuts.map(|(.., shortcut)| shortcut).collect()
}

/// Takes the space bar, which belongs to the host, from this frame: the toolkit would press a focused button or switch with it.
pub fn leave_space_bar(ui: &Ui) {
    ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Space));
}

/// Whether a letter was typed as a capital: with Caps Lock the framework reports the text but no key.
fn is_capital_typed(input: &InputState, modifiers: Modifiers, key: Key) -> bool {
    let capital = key.name();
    modifiers.is_none()
        && capital.chars().all(char::is_alphabetic)
        && !input.key_pressed(key)
        && input.events.contains(&Event::Text(capital.to_owned()))
}
