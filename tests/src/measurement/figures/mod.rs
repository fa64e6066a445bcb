//! What is measured of the engine, one folder or file for each question.

pub mod breathing;
pub mod detector;
pub mod hard_voices;
pub mod levelling;
pub mod moving_edge;
pub mod properties;
