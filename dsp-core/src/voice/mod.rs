//! The level of the voice, and the adaptive threshold that follows it.

pub(crate) mod adaptive_threshold;
pub(crate) mod power_window;
pub(crate) mod softer_voice;
pub(crate) mod tracked_voice;
pub(crate) mod two_sided_level;
pub(crate) mod voice_follower;
pub(crate) mod voice_side;
pub(crate) mod voice_source;
