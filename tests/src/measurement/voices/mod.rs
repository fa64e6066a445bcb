//! Sounds with known labels: a synthetic singer, labelled recordings, and what makes both hard.

pub mod audio_file;
pub mod conditions;
pub mod corpus;
pub mod signals;
pub mod singer;
