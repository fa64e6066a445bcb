//! Siskin and Siskin Follow: two plug-ins from one bundle, around one engine.
//!
//! A block of the host flows one way: [`params`] become plain settings in `settings`, [`insert`] (one for both kinds
//! of plug-in, see [`kind`]) hands them and the host's slices to `siskin_dsp::Engine`, and what the engine reports goes
//! through [`telemetry`] to the `editor`. No arithmetic on samples happens here.

mod editor;
pub mod insert;
pub mod kind;
pub mod params;
mod readout;
mod settings;
mod state;
pub mod telemetry;

use nice_plug::prelude::*;

pub use insert::{Siskin, SiskinFollow};

nice_export_clap!(Siskin, SiskinFollow);
nice_export_vst3!(Siskin, SiskinFollow);
