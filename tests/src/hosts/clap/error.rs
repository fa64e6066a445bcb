//! What can go wrong between a host and a plug-in.

use std::path::PathBuf;

use clack_host::entry::PluginEntryError;
use clack_host::plugin::PluginInstanceError;

/// One line for a person, complete in itself, with what to do where something can be done.
#[derive(Debug, thiserror::Error)]
pub enum HostError {
    /// The bundle is not there or cannot be loaded.
    #[error("{} cannot be loaded ({cause}); build it with: cargo xtask bundle", path.display())]
    Load {
        /// The bundle.
        path: PathBuf,
        /// What the loader says.
        cause: PluginEntryError,
    },
    /// The bundle holds no plug-in of that name.
    #[error("the bundle holds no plug-in named \"{name}\"; it holds {}", held.join(", "))]
    NoSuchPlugin {
        /// The name that was asked for.
        name: String,
        /// The names that are there.
        held: Vec<String>,
    },
    /// The plug-in refused to be made, to start or to process.
    #[error("the plug-in failed: {0}")]
    Plugin(PluginInstanceError),
    /// The plug-in lacks a part of CLAP that this host needs.
    #[error("the plug-in does not offer {0}")]
    Missing(&'static str),
    /// The plug-in refused to save its state.
    #[error("the plug-in did not save its state")]
    StateNotSaved,
    /// The plug-in refused to take a state.
    #[error("the plug-in did not take the state")]
    StateNotLoaded,
    /// The editor was not opened, or not put into its window.
    #[error("the plug-in did not open its editor: {0}")]
    NoEditor(&'static str),
    /// The bundle's presets could not be listed.
    #[error("the presets of the bundle cannot be listed: {0}")]
    Presets(String),
    /// The plug-in did not load a preset.
    #[error("the preset \"{word}\" was not loaded: {said}")]
    NoSuchPreset {
        /// The word that was asked for.
        word: String,
        /// What the plug-in said.
        said: String,
    },
    /// The plug-in has no layout for so many channels.
    #[error("the plug-in has no layout for {channels} channels")]
    NoLayout {
        /// Channels of the voice.
        channels: usize,
    },
    /// The sound does not fit the plug-in's ports.
    #[error("the {port} has {found} channels where the plug-in takes {expected}")]
    Channels {
        /// Which port.
        port: &'static str,
        /// Channels that the plug-in takes.
        expected: usize,
        /// Channels that were given.
        found: usize,
    },
    /// The channels of one sound differ in length.
    #[error("the channels of the {port} differ in length")]
    Ragged {
        /// Which port.
        port: &'static str,
    },
    /// No usable block size.
    #[error("a block size must be 1 to {} samples", u32::MAX)]
    BlockSize,
    /// The plug-in asks to be restarted again and again.
    #[error("the plug-in asks for a restart without end")]
    EndlessRestart,
    /// No parameter of that id.
    #[error("unknown parameter \"{id}\"; known are {}", known.join(", "))]
    UnknownParameter {
        /// The id that was asked for.
        id: String,
        /// The ids that are there.
        known: Vec<String>,
    },
    /// The text is no value of a continuous parameter.
    #[error("{id}: \"{text}\" is not a value; it takes {lowest} to {highest}")]
    NotAValue {
        /// The parameter.
        id: String,
        /// What was given.
        text: String,
        /// The lower end, as the plug-in writes it.
        lowest: String,
        /// The upper end, as the plug-in writes it.
        highest: String,
    },
    /// The value lies outside the range.
    #[error("{id}: {text} is out of range; it takes {lowest} to {highest}")]
    OutOfRange {
        /// The parameter.
        id: String,
        /// What was given.
        text: String,
        /// The lower end, as the plug-in writes it.
        lowest: String,
        /// The upper end, as the plug-in writes it.
        highest: String,
    },
    /// The text is none of the parameter's words.
    #[error("{id}: \"{text}\" is none of its values; it takes {}", words.join(", "))]
    NotAWord {
        /// The parameter.
        id: String,
        /// What was given.
        text: String,
        /// The words, as the plug-in writes them.
        words: Vec<String>,
    },
}

impl From<PluginInstanceError> for HostError {
    fn from(cause: PluginInstanceError) -> Self {
        Self::Plugin(cause)
    }
}
