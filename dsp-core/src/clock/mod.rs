//! The grid of control steps and hops, and its position on the host's timeline.

pub(crate) mod timeline;
pub(crate) mod timing;
