//! The format layer: what CLAP and VST3 hosts load, and the checks and corrections between a host and the framework.
//!
//! [`clap`] and [`vst3`] export the bundle's plug-ins and wrap the framework's classes. [`host_guard`] checks every block
//! that a host passes, in either format. [`link`] is what an insert and its instance share. [`background`] empties the
//! framework's background thread before a VST3 insert ends. All `unsafe` of the plug-in is below this folder.

mod background;
pub mod clap;
mod host_guard;
pub mod link;
mod vst3;

/// The longest state that is loaded: some thirty times one with every parameter.
const MOST_STATE_BYTES: u64 = 64 * 1024;
