//! The parts that pages and pictures are drawn with.

pub mod button;
pub mod control;
pub mod gestures;
pub mod ids;
pub mod marks;
pub mod mesh;
pub mod palette;
#[cfg(test)]
pub mod recording_host;
pub mod shortcuts;
pub mod text_field;
pub mod tips;
pub mod typeface;
pub mod ui_context;
