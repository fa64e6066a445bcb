//! The scored corpus: labelled voices that nobody here synthesised.

mod recording;

pub use recording::{Origin, Phone, Precision, Recording, Sound};
