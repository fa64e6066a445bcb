//! What fails where something does not hold: tests, comparisons with hosts and with earlier versions.

pub mod check;
mod coverage;
pub mod hosts;
pub mod null;
pub mod soak;
pub mod supply;
pub mod test;
mod windows;
