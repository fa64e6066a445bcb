//! The scored corpus: labelled voices that nobody here synthesised.

mod from_song;
mod recording;
pub mod resample;

pub use from_song::from_song;
pub use recording::{Origin, Phone, Precision, Recording, Sound};
