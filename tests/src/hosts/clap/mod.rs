//! A CLAP host in process: it loads the built bundle and does what an audio program does with it.
//!
//! [`Bundle`] is the file, [`Plugin`] an insert, [`Render`] one pass of sound through it. The calling thread is the
//! plug-in's main thread; sound runs on a thread of its own, as CLAP demands.

mod answers;
mod blocks;
mod bundle;
mod editor;
mod error;
mod handed;
mod handlers;
mod inside;
mod live;
mod parameters;
mod plugin;
mod ports;
mod presets;
mod raw_events;
mod raw_process;
mod render;
mod session;
mod settings;
mod state;
mod text_value;

pub use answers::{Edit, Gesture, gestures};
pub use bundle::{Bundle, Descriptor};
pub use clack_host::utils::ClapId;
pub use editor::SizePx;
pub use error::HostError;
pub use handed::{Answer, Bus, Channel, Handed, Place, Said, Told, UNTOUCHED, blocks, joined};
pub(crate) use inside::processor_time;
pub use inside::{BlockTime, Inside, mark_for_a_tracer};
pub use live::{Live, LiveSound};
pub use parameters::{Parameter, ParameterFlags};
pub use plugin::{Mode, Plugin};
pub use ports::{Layout, Port};
pub use presets::Preset;
pub use render::{Change, Event, Progress, Render, Rendering, Timing};
pub use session::Session;
pub use state::{state_as_json, state_from_json};
