//! What measures the sound: detector, properties, speed, and a file through the plug-in.

pub mod bench;
pub mod hard_voices;
pub mod properties;
pub mod score;

pub use siskin_program::render;
