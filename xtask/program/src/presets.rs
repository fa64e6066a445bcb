//! Settings as preset files for both formats.

use anyhow::{Context, Result};
use siskin_host::clap::state_as_json;
use siskin_presets::write_preset;

/// The ending of a state as JSON.
pub const JSON: &str = "json";
/// The ending of a VST3 preset.
pub const VST3_PRESET: &str = siskin_presets::ENDING;

/// A saved state of this plug-in as presets for both formats: the ending of each file, and what is in it.
pub fn preset_files(plug_in: &str, saved: &[u8]) -> Result<[(&'static str, Vec<u8>); 2]> {
    let json = state_as_json(saved).context("a saved state is not JSON")?;
    let vst3_preset = write_preset(plug_in, json.to_string().as_bytes())
        .with_context(|| format!("the VST3 class id of {plug_in} is not known"))?;
    Ok([
        (JSON, format!("{json:#}\n").into_bytes()),
        (VST3_PRESET, vst3_preset),
    ])
}
