//! A voice with labels that are exact to the sample: a seeded synthetic singer and her song.
//!
//! Lyrics (`score`) become labelled segments (`plan`), these become a voiced track (glottal source
//! through formants) and a noise track (frication, bursts, breaths), and the sum of both in a quiet room is the song.

mod formants;
pub(crate) mod fricatives;
mod labels;
mod performance;
mod phonemes;
mod plan;
pub(crate) mod random;
mod score;
mod source;

pub use labels::{Kind, Label, Section, Song};
pub use performance::{sing, sing_along};

#[cfg(test)]
mod tests;
