//! Hosts for the built bundles, CLAP and VST3, in process, and the sound that goes through them: what a program needs that
//! renders, and what the tests build on.
//!
//! A [`HostBlock`] is what either format's host hands over, [`Insert`] an insert in either format. Both hosts note each
//! callback that the plug-in makes on a thread or in a state that its format forbids ([`rules`]).

pub mod audio_file;
pub mod automation;
mod block;
pub mod clap;
mod insert;
mod loudness;
pub mod message_queue;
mod process_time;
mod resample;
pub mod rules;
pub mod vst3;

pub use block::{
    Bus, Channel, EventKind, HostBlock, ParamEvent, ProcessStatus, Transport, UNWRITTEN, blocks, joined,
};
pub use insert::{Insert, InsertParameter};
pub use loudness::{LoudnessMeter, programme_lufs};
pub use process_time::processor_time;
pub use process_time::{BlockTime, ProcessCall, mark_for_a_tracer};
pub use resample::resampled;

/// The name of the plug-in without a side-chain.
pub const SISKIN: &str = "Siskin";
/// The name of the plug-in with the side-chain.
pub const SISKIN_FOLLOW: &str = "Siskin Follow";

/// What a mutex guards, also where a test that held it has failed.
pub fn lock<T>(mutex: &std::sync::Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
}
