//! The stages of the signal path, in order: delay, leveller, sibilance, breath, Listen, Part, output gain, bypass.

pub(crate) mod breath;
pub(crate) mod bypass;
pub(crate) mod delay;
pub(crate) mod gain;
pub(crate) mod hop_input;
pub(crate) mod leveller;
pub(crate) mod listen;
pub(crate) mod part;
pub(crate) mod ratio;
pub(crate) mod sibilance;
