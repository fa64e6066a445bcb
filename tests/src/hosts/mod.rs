//! Hosts for the built bundles: CLAP and VST3 in process, the editor in a real window, random hosts, and automation
//! read from files.

pub mod automation;
pub mod built;
pub mod clap;
pub mod soak;
pub mod vst3;
pub mod window;
