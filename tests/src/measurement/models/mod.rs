//! Independent models of the processors that are compared: written from the literature, apart from the plug-in,
//! and as a careful engineer would build and set them. Mono, whole sounds at once.

mod biquad;
mod compressor;
mod dynamics;
mod fixed_stack;
mod hard_levelling;
mod split_band;

pub(crate) use biquad::Biquad;
pub use biquad::high_shelf;
pub use compressor::{Compressed, CompressorSettings, compress};
pub use fixed_stack::{FixedStack, SetFor};
pub use hard_levelling::{HARD_LEVELLER, boost, levelled_hard};
pub use split_band::{FixedSibilanceSettings, tame};
