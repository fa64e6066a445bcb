//! The engine's grid of steps and hops, and where it lies on the host's timeline.

pub(crate) mod timeline;
pub(crate) mod timing;
