//! A CLAP host in process: it loads the built bundle and does what an audio program does with it.
//!
//! [`Bundle`] is the file, [`Plugin`] an insert, driven call by call, by [`Render`] for a whole sound, or by [`Live`] for
//! sound in step with a clock. The thread that makes an insert is its main thread; sound runs on another one, as CLAP
//! demands. Every error is one line for a person, complete in itself.

mod activation;
mod bundle;
mod editor;
mod edits;
mod events;
mod handlers;
mod live;
mod menu;
mod parameters;
mod plugin;
mod ports;
mod presets;
mod process;
mod render;
mod shown;
mod state;
mod text_value;
mod uninitialised;

pub use bundle::{Bundle, Descriptor};
pub use editor::SizePx;
pub use edits::{Edit, Gesture, gestures};
pub use live::{Live, LiveSound, SongPlace};
pub use menu::{Automation, ShownMenu};
pub use parameters::{Parameter, ParameterFlags};
pub use plugin::{Mode, Plugin};
pub use ports::{Layout, Port};
pub use presets::Preset;
pub use render::{Progress, Render, Rendering, Sink, Timing};
pub use shown::ControllerPage;
pub use state::{state_as_json, state_from_json};
pub use uninitialised::Uninitialised;
