//! How settings and gains move: plans, glides, ramps, ballistics.

pub(crate) mod ballistics;
pub(crate) mod crossfade;
pub(crate) mod plan;
pub(crate) mod ramp;
pub(crate) mod smoothing;
