//! The parameters of an insert, made from the table of parameters (`siskin_dsp::PARAMETERS`), and what a song keeps.
//!
//! [`InsertParams`] holds one [`Parameter`] for each row that the plug-in has. `build` makes a parameter from its row,
//! `plain` converts its values, `text` and [`readout`] write and read them. [`state`] completes what a song saved,
//! [`starting_points`] are settings for the jobs around a lead,
//! [`own_settings`] those that a person keeps.

mod build;
mod insert_params;
pub mod own_settings;
mod parameter;
mod plain;
pub mod readout;
mod remembered;
pub mod starting_points;
pub mod state;
#[cfg(test)]
mod tests;
mod text;

pub use insert_params::InsertParams;
pub use parameter::Parameter;
pub use remembered::{RememberedWindow, Scheme};
