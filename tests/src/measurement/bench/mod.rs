//! How fast the sound is made, how much memory it takes, and what of that the stages take by themselves.
//!
//! Everything that is timed enters one [`contest`]: entries run in turn, round after round, so that a machine that slows
//! down slows down all of them, and each keeps its fastest round.

mod clock;
mod contest;
mod counted;
mod engine;
mod insert;
mod memory;
mod peers;
mod sounds;
pub mod stages;
mod worst_block;

pub use contest::{Entry, Timed, contest};
pub use counted::{COUNTED_FUNCTION, Counted, FRAMES as COUNTED_FRAMES, count};
pub use engine::{EngineLoad, Setting};
pub use insert::InsertLoad;
pub use memory::{engine_bytes, insert_bytes};
pub use peers::{Pedalboard, Peer, STACK, stack_entry};
pub use sounds::Sounds;
pub use worst_block::{WorstBlock, worst_block};
