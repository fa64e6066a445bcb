//! Preset files of the two plug-ins: VST3's format, and the folder in which hosts look for those of a person.
//!
//! The editor keeps settings there and CLAP hosts read them from there; the commands put the starting points there.

mod file;
mod folder;
mod own;

pub use file::{CLASS_IDS, SISKIN, SISKIN_FOLLOW, read_preset, write_preset};
pub use folder::vendor_folder;
pub use own::{ENDING, KeepError, NOTE_ENDING, Own, keep, list, load, plug_in_of};
