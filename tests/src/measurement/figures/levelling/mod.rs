//! Voices through a leveller, and the gain that each of their samples got: Siskin's leveller set hard, and the textbook
//! compressor beside it.

mod gain_trace;
mod hard;
mod through;

pub use gain_trace::GainTrace;
pub use hard::{hard_for, textbook_alike};
pub use through::{Levelled, siskin, textbook};
