//! A host with real windows: the built bundle's editor on an X server of its own, with pointer, keyboard and running sound.
//!
//! A [`Server`] is an X server without a monitor. [`on_own_screen`] runs a test on one, in a process of its own. There, a
//! [`Screen`] has pointer, keys and pictures, and a [`Session`] is an insert with its editor open. On Windows the screen is
//! the one that is there. What fails does so with a [`WindowError`]: where no server can be started, the server answers with
//! an error, or a condition never comes true.

#[cfg(not(windows))]
mod clipboard;
mod difference;
mod error;
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
pub use error::WindowError;
#[cfg(not(windows))]
pub use focus_host::{FocusHost, FocusPlace};
pub use keys::Key;
pub use load::Load;
#[cfg(windows)]
pub use own_screen::Server;
pub use own_screen::{Ended, on_own_screen, on_server};
pub use picture::Picture;
pub use scenes::{Shot, shoot, shot_names};
pub use screen::{Button, EMPTY, HostWindow, Screen};
#[cfg(not(windows))]
pub use server::Server;
pub use session::{NOWHERE, Opening, Session};
pub use sounds::{SONG_SEED, bursts, double, levelled_song, raw_song, with_peaks};
pub use vision::{Deficiency, simulate};
#[cfg(not(windows))]
pub use vst3_session::Vst3Session;
