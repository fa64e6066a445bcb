//! Voices with known labels, independent models, and what is measured of the sound.
//!
//! [`levels`] are the measures of sound that everything else uses. [`models`] are textbook processors, [`voices`] the
//! sounds with their labels, [`figures`] what is measured of the engine. [`mod@bench`] measures speed, [`null`] compares two
//! versions of the plug-ins.

pub mod bench;
pub mod figures;
pub mod goal;
pub mod levels;
pub mod models;
pub mod null;
pub mod voices;
