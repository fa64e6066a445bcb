//! A host with real windows: the built bundle's editor on a screen of its own, under a pointer and a keyboard, while
//! sound runs through it.
//!
//! A [`Server`] is an X server that shows its screen to nobody. [`alone`] runs a test on one, in a process of its own.
//! There, a [`Screen`] has the pointer, the keys and the pictures, and a [`Session`] is an insert with its editor open.

mod alone;
mod difference;
mod error;
mod hand;
mod keys;
mod load;
mod picture;
mod scenes;
mod screen;
mod server;
mod session;
mod song;
mod vision;

pub use alone::{Ended, alone, on_server};
pub use difference::{Difference, MOST_DIFFERENT, difference};
pub use error::WindowError;
pub use keys::Key;
pub use load::Load;
pub use picture::Picture;
pub use scenes::{SHOTS, Shot, shoot};
pub use screen::{Button, HostWindow, Screen};
pub use server::Server;
pub use session::{Opening, Session};
pub use song::{bursts, double, levelled_song, raw_song, with_peaks};
pub use vision::{Deficiency, simulate};
