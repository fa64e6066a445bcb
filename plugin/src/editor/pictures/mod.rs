//! The two pictures, the last seconds and frequencies, and the readings.

pub mod readings;
pub mod song;
pub mod spectrum;
pub mod timeline;
