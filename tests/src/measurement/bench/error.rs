//! What can go wrong in a measurement.

use crate::hosts::clap::HostError;

/// One line for a person.
#[derive(Debug, thiserror::Error)]
pub enum BenchError {
    /// The bundle does not play.
    #[error(transparent)]
    Host(#[from] HostError),
    /// Another's library was not started or fell silent.
    #[error("pedalboard did not run in the tests' Python: {0}; run: cargo xtask test --setup")]
    Peer(String),
}
