//! The scored corpus: labelled voices that nobody here synthesised.

mod from_song;
mod labels;
mod load;
mod phones;
mod recording;
pub mod resample;
mod split;

pub use from_song::from_song;
pub use load::{Corpus, LeftOut};
pub use phones::Notation;
pub use recording::{Origin, Phone, Precision, Recording, Sound};
pub use split::Half;
