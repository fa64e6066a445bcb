//! The level of the voice, and the threshold that follows it.

pub(crate) mod adaptive_threshold;
pub(crate) mod follower;
pub(crate) mod power_window;
pub(crate) mod voice_source;
