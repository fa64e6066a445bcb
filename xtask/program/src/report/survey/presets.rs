//! Settings of a track: as the plug-in saves them, for the engine, and as preset files.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};
use siskin_dsp::{Channels, PARAMETERS, ParamKind, ParamSpec, Settings};
use siskin_host::clap::{Plugin, state_as_json};

use crate::presets::preset_files;

/// The present settings of an insert for the engine.
pub fn settings_of(plugin: &mut Plugin) -> Result<Settings> {
    let state = state_as_json(&plugin.save_state()?).context("a saved state is not JSON")?;
    let mut settings = Settings::default();
    for spec in PARAMETERS.iter() {
        if let Some(value) = value(spec, &state["params"][spec.id]) {
            (spec.set)(&mut settings, value);
        }
    }
    Ok(settings)
}

/// A saved value in the unit of the setting: a share is saved in percent, and a stop as what lies beyond the range.
fn value(spec: &ParamSpec, saved: &serde_json::Value) -> Option<f32> {
    if let Some(is_on) = saved["bool"].as_bool() {
        return Some(f32::from(u8::from(is_on)));
    }
    let number = saved["i32"].as_f64().or(saved["f32"].as_f64())? as f32;
    Some(match spec.kind {
        ParamKind::Share => number / 100.0,
        ParamKind::RatioOrInfinity if number > spec.max => f32::INFINITY,
        ParamKind::HertzOrOff if number < spec.min => 0.0,
        _ => number,
    })
}

/// Writes the present settings of an insert as presets for both formats: `stem` with the ending of each.
pub fn write(plugin: &mut Plugin, plug_in: &str, folder: &Path, stem: &str) -> Result<()> {
    for (ending, content) in preset_files(plug_in, &plugin.save_state()?)? {
        let path = folder.join(format!("{stem}.{ending}"));
        fs::write(&path, content).with_context(|| format!("cannot write {}", path.display()))?;
    }
    Ok(())
}

/// Whether the plug-in treats the channels as one, now.
pub fn channels_of(plugin: &mut Plugin) -> Result<Channels> {
    let index = plugin.value("chan")? as usize;
    Channels::ALL
        .get(index)
        .copied()
        .context("the plug-in tells of channels that this program does not have")
}
