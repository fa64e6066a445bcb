//! Hosts for the built bundles: those of [`siskin_host`], CLAP and VST3 in process, and around them the editor in a real
//! window, a browser for reports, and random hosts.

#[cfg(unix)]
pub mod browser;
pub mod built;
pub mod fixtures;
pub mod soak;
pub mod window;

pub use siskin_host::*;
