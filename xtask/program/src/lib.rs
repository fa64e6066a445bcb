//! Sound files through the built bundle, and reports of them: what the program `siskin` does for people without a compiler,
//! and `cargo xtask` does, too.

pub mod presets;
pub mod render;
pub mod report;
