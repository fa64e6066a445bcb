//! Measures of sound, independent of the plug-in: levels as ITU-R BS.1770-5 has them, proportions of labelled
//! sibilants, changes of labelled vowels. Mono signals, linear, full scale 1; labels are ranges of samples.

mod band;
mod energies;
mod expected;
mod loudness;
mod sibilants;
mod spectrum;
mod statistics;
mod vowels;

pub use band::{above, band_lufs};
pub(crate) use band::{inverse_transform, transform};
pub use energies::Energies;
pub(crate) use energies::common;
pub use expected::asked_reduction_db;
pub(crate) use loudness::lufs_from_power;
pub use loudness::{integrated_lufs, k_weighted, lufs, programme_lufs};
pub use sibilants::{SibilanceMeter, SibilantReading, read_sibilants};
pub use spectrum::{FrameTransform, band_mean_square, spectrum_db};
#[cfg(test)]
pub(crate) use spectrum::{peak_hz, power_at_db};
pub use statistics::{mean, near, residual_db, share_within};
pub use vowels::vowel_changes_db;
