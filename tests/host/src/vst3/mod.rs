//! A small VST3 host in process, for what finished hosts cannot reach: flags and units, texts, mistakes, states in pieces.
//!
//! [`Module`] is the bundle, [`Vst3Insert`] an insert; blocks are [`HostBlock`](crate::HostBlock), as for CLAP.

#![allow(
    clippy::unnecessary_cast,
    reason = "some of VST3's numbers are of other types on Windows"
)]

mod changes;
mod handler;
mod insert;
mod menu;
mod module;
mod parameters;
mod process;
mod run_loop;
mod stream;
mod view;

pub use handler::{HostContext, Requests};
pub use insert::{Setup, Vst3Insert};
pub use menu::ShownMenu;
pub use module::{ClassInfo, Module, library_in};
pub use parameters::{Unit, Vst3Parameter};
pub use view::Vst3View;

/// A fixed array of UTF-16, up to its zero.
fn wide_text(text: &[u16]) -> String {
    let end = text.iter().position(|&unit| unit == 0).unwrap_or(text.len());
    String::from_utf16_lossy(&text[..end])
}
