//! How settings and gains change over time: derived constants, smoothing, ramps, attack and release.

pub(crate) mod ballistics;
pub(crate) mod crossfade;
pub(crate) mod delayed_gain;
pub(crate) mod delayed_plan;
pub(crate) mod plan;
pub(crate) mod ramp;
pub(crate) mod smoothing;
