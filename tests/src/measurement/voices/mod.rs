//! Sounds with known labels: a synthetic singer, labelled recordings, and what makes both hard.

pub mod conditions;
pub mod corpus;
pub mod signals;
pub mod singer;

pub use siskin_host::audio_file;
