//! The page of an open window, from top to bottom.

mod actions;
pub mod frame;
mod menus;
mod monitor;
mod own_points;
mod plain_list;
mod proposal_panel;
mod song_panel;
mod stages;
mod starting_point;
mod status;
#[cfg(test)]
mod tests;
mod toolbar;
pub mod zoom;

pub use monitor::INPUT_TIMEOUT;
