//! Loudness (ITU-R BS.1770-5): the K-weighting and the level of the input.

mod block_section;
pub(crate) mod input_level;
pub(crate) mod k_filter;
pub(crate) mod k_weighting;
