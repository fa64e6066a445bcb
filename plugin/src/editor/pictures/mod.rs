//! The two pictures: the last seconds, and frequencies.

pub mod spectrum;
pub mod timeline;
