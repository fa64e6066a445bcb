//! Siskin and Siskin Follow: two plug-ins from one bundle, around one engine.
//!
//! A block of the host flows one way: [`params`] become the settings of the engine, [`insert`] (one for both kinds
//! of plug-in, see [`kind`]) hands them and the host's slices to `siskin_dsp::Engine`, and what the engine reports goes
//! through [`telemetry`] to the `editor`, and by song position into [`song_notes`]. No arithmetic on samples happens here. `formats` is what CLAP and VST3 hosts
//! load, and checks what they pass.

mod editor;
mod formats;
pub mod insert;
pub mod kind;
pub mod params;
pub mod song_notes;
pub mod telemetry;

pub use insert::{Siskin, SiskinFollow};
