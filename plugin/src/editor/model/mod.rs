//! What the editor shows and keeps, as plain data without drawing.

mod breath;
pub mod chosen;
mod column;
pub mod compare;
pub mod context;
pub mod history;
pub mod host_menu;
pub mod host_size;
pub mod indications;
pub mod listen_return;
pub mod proposal;
pub mod readings;
pub mod session;
mod sibilant;
pub mod song;
pub mod spectra;
pub mod tally;
pub mod undo;
