//! Where things are, and what only tests need: packages, Python, labelled voices.

pub mod corpus;
pub mod debian;
pub mod files;
pub mod process;
pub mod python;
pub mod workspace;
