//! The rig: everything that tests and commands need around the plug-in to hear what a person would hear.
//!
//! A host in process loads the built bundle and runs sound through it; files and automation are read; voices with
//! exact labels are sung; measures and independent models say what is true of the result.

pub mod audio_file;
pub mod automation;
pub mod bench;
pub mod breathing;
pub mod conditions;
pub mod corpus;
pub mod host;
pub mod levelling;
pub mod measure;
pub mod moving_edge;
pub mod null;
pub mod oracle;
pub mod pieces;
pub mod properties;
pub mod score;
pub mod signals;
pub mod soak;
pub mod voices;
pub mod vst3_host;
pub mod window;
