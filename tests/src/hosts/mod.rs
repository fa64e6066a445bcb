//! Hosts for the built bundles: CLAP and VST3 in process, the editor in a real window, random hosts, and automation
//! read from files.
//!
//! A [`HostBlock`] is what either format's host hands over, [`Insert`] an insert in either format. Both hosts note each
//! callback that the plug-in makes on a thread or in a state that its format forbids ([`rules`]).

pub mod automation;
mod block;
#[cfg(unix)]
pub mod browser;
pub mod built;
pub mod clap;
pub mod fixtures;
mod insert;
mod message_queue;
mod process_time;
pub mod rules;
pub mod soak;
pub mod vst3;
pub mod window;

/// What a mutex guards, also where a test that held it has failed.
fn lock<T>(mutex: &std::sync::Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}

pub use block::{
    Bus, Channel, EventKind, HostBlock, ParamEvent, ProcessStatus, Transport, UNWRITTEN, blocks, joined,
};
pub use insert::{Insert, InsertParameter};
pub use process_time::processor_time;
pub use process_time::{BlockTime, ProcessCall, mark_for_a_tracer};
