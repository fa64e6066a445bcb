//! The stages that the signal passes, in order: delay, leveller, sibilance, breath, Listen, gain, bypass.

pub(crate) mod breath;
pub(crate) mod bypass;
pub(crate) mod delay;
pub(crate) mod gain;
pub(crate) mod leveller;
pub(crate) mod listen;
pub(crate) mod sibilance;
