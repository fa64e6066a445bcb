//! The plug-in's state, as a song keeps it.

use std::io::Read;

use anyhow::{Context, Result};
use clack_extensions::state::PluginState;
use clack_host::plugin::PluginMainThreadHandle;

/// nice-plug writes the length of its JSON before it, as 8 bytes (nice-plug 0.4.2, `clap/wrapper.rs`,
/// `ext_state_save`).
const LENGTH_PREFIX_BYTES: usize = 8;

/// The JSON of a saved state, as VST3 hosts keep it and as it may lie in a file. `None` where there is none.
pub fn state_as_json(bytes: &[u8]) -> Option<serde_json::Value> {
    serde_json::from_slice(bytes.get(LENGTH_PREFIX_BYTES..)?).ok()
}

/// The state that `json` is, as CLAP hosts keep it.
pub fn state_from_json(json: &[u8]) -> Vec<u8> {
    [&(json.len() as u64).to_le_bytes(), json].concat()
}

/// The state as the plug-in writes it.
pub fn save(state: PluginState, plugin: &PluginMainThreadHandle) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let saved = state.save(plugin, &mut bytes);
    saved.context("the plug-in did not save its state")?;
    Ok(bytes)
}

/// Hands a state to the plug-in in pieces of `piece` bytes at most.
pub fn load(state: PluginState, plugin: &PluginMainThreadHandle, bytes: &[u8], piece: usize) -> Result<()> {
    struct Pieces<'a>(&'a [u8], usize);
    impl Read for Pieces<'_> {
        fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
            let room = into.len().min(self.1);
            self.0.read(&mut into[..room])
        }
    }
    let loaded = state.load(plugin, &mut Pieces(bytes, piece));
    loaded.context("the plug-in did not take the state")
}

/// The parameter ids that a saved state names, so that nobody keeps a second list of them.
pub fn parameter_ids(bytes: &[u8]) -> Vec<String> {
    state_as_json(bytes)
        .and_then(|state| Some(state["params"].as_object()?.keys().cloned().collect()))
        .unwrap_or_default()
}
