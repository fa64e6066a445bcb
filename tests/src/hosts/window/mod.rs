//! A host with real windows: the built bundle's editor on an X server of its own, with pointer, keyboard and running sound.
//!
//! A [`Server`] is an X server without a monitor. [`on_own_screen`] runs a test on one, in a process of its own. There, a
//! [`Screen`] has pointer, keys and pictures, and a [`Session`] is an insert with its editor open. On Windows the screen is
//! the one that is there. An error says that no server can be started, what the server answered, or which condition never
//! came true.

#[cfg(not(windows))]
mod clipboard;
mod difference;
#[cfg(not(windows))]
mod focus_host;
mod input;
mod keys;
mod load;
#[cfg_attr(windows, path = "this_screen.rs")]
mod own_screen;
mod picture;
mod scenes;
#[cfg(not(windows))]
mod screen;
#[cfg(windows)]
#[path = "windows_screen.rs"]
mod screen;
#[cfg(not(windows))]
mod server;
mod session;
mod sounds;
mod vision;
#[cfg(not(windows))]
mod vst3_session;
#[cfg(windows)]
mod wine_picture;

pub use difference::{Difference, MOST_DIFFERENT, difference};
#[cfg(not(windows))]
pub use focus_host::{FocusHost, FocusPlace};
pub use keys::Key;
pub use load::Load;
#[cfg(windows)]
pub use own_screen::Server;
pub use own_screen::{in_editor, on_own_screen, on_server};
pub use picture::Picture;
pub use scenes::{Shot, shoot, shot_names};
pub use screen::Screen;
#[cfg(not(windows))]
pub use server::Server;
pub use session::{NOWHERE, Opening, Session};
pub use sounds::{SONG_SEED, bursts, double, levelled_song, raw_song, with_peaks};
pub use vision::{Deficiency, simulate};
#[cfg(not(windows))]
pub use vst3_session::Vst3Session;

use anyhow::Context;
use siskin_editor_layout::palette::Color32;

/// Background of a host window, which no editor uses.
pub const EMPTY: Color32 = Color32::from_rgb(0x20, 0x40, 0x60);

/// A host window, which an editor is embedded in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HostWindow {
    /// Its X id, or its handle, of which Windows uses 32 bits.
    pub id: u32,
    /// Left edge on the screen, pixels.
    pub left: i16,
    /// Upper edge on the screen, pixels.
    pub top: i16,
}

/// A pointer button, with its X number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Button {
    /// The left one.
    Left = 1,
    /// The right one.
    Right = 3,
    /// The wheel, up.
    WheelUp = 4,
    /// The wheel, down.
    WheelDown = 5,
}

/// Where work on a screen ran, and how it ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended<T> {
    /// In this process, with this result.
    Here(T),
    /// In a process of its own, which has printed its messages.
    There {
        /// Whether it succeeded.
        success: bool,
    },
}

/// Sends requests to the X server. An error says first that the server failed.
fn ask_x_server<T>(request: impl FnOnce() -> anyhow::Result<T>) -> anyhow::Result<T> {
    request().context("the X server failed")
}
