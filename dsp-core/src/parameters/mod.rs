//! The parameters: one table, from which ranges, defaults, glides and everything that a person reads of a parameter
//! are made.

mod row;
mod spec;
mod table;
mod whole;

pub use spec::{GlideKind, ParamKind, ParamSpec, Stage};
pub use table::PARAMETERS;
