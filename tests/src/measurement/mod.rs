//! Voices with known labels, independent models, and what is measured of the sound.

pub mod audio_file;
pub mod bench;
pub mod breathing;
pub mod conditions;
pub mod corpus;
pub mod levelling;
pub mod measure;
pub mod moving_edge;
pub mod null;
pub mod oracle;
pub mod pieces;
pub mod properties;
pub mod score;
pub mod signals;
pub mod voices;
