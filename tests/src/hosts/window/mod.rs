//! A host with real windows: the built bundle's editor on an X server of its own, with pointer, keyboard and running sound.
//!
//! A [`Server`] is an X server without a monitor. [`on_own_screen`] runs a test on one, in a process of its own. There, a
//! [`Screen`] has pointer, keys and pictures, and a [`Session`] is an insert with its editor open.

mod difference;
mod error;
mod input;
mod keys;
mod load;
mod own_screen;
mod picture;
mod scenes;
mod screen;
mod server;
mod session;
mod sounds;
mod vision;

pub use difference::{Difference, MOST_DIFFERENT, difference};
pub use error::WindowError;
pub use keys::Key;
pub use load::Load;
pub use own_screen::{Ended, on_own_screen, on_server};
pub use picture::Picture;
pub use scenes::{SHOTS, Shot, shoot};
pub use screen::{Button, HostWindow, Screen};
pub use server::Server;
pub use session::{NOWHERE, Opening, Session};
pub use sounds::{bursts, double, levelled_song, raw_song, with_peaks};
pub use vision::{Deficiency, simulate};
