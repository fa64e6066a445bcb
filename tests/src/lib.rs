//! What tests and commands need around the plug-in, in two halves.
//!
//! [`hosts`] load the built bundles as audio programs do and run sound through them. [`measurement`] holds voices with
//! known labels, independent models, and what is measured of the result.

pub mod hosts;
pub mod measurement;
