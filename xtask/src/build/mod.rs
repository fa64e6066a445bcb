//! The bundles: built, described, installed.

pub mod bundle;
pub mod install;
mod licence_texts;
mod notices;
pub mod package;
pub mod packages;
pub mod presets;
