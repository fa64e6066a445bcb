//! Small building blocks: filters, frames of samples, decibels.

pub(crate) mod biquad;
pub(crate) mod decibels;
pub(crate) mod denormal;
pub(crate) mod frame;
pub(crate) mod frame_history;
pub(crate) mod powers_of_two;
pub(crate) mod recent_maximum;
pub(crate) mod softest_power;
pub(crate) mod state_variable;
pub(crate) mod tangent;
