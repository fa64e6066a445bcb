//! The parameters of an insert, as CLAP describes them; read and set in the units that a person reads.

use std::collections::HashMap;

use anyhow::{Context, Result, ensure};
use clack_extensions::params::{ParamInfo, ParamInfoBuffer, ParamInfoFlags, PluginParams};
use clack_host::plugin::{PluginInstanceError, PluginMainThreadHandle};
use clack_host::utils::ClapId;

pub use clack_extensions::params::ParamInfoFlags as ParameterFlags;

use super::{Mode, Plugin, text_value};
use crate::ParamEvent;

/// One parameter. Its values are in CLAP's own scale: 0 ... 1, or 0 ... steps.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter {
    /// The id that is saved in songs.
    pub id: String,
    /// The number that CLAP and VST3 address it by.
    pub clap_id: u32,
    /// The name that a person reads.
    pub name: String,
    /// The group that it belongs to.
    pub group: String,
    /// The lowest value.
    pub lowest: f64,
    /// The highest value.
    pub highest: f64,
    /// The value of a new insert.
    pub default: f64,
    /// Whether it can be automated, has steps, is the bypass.
    pub flags: ParameterFlags,
}

impl Parameter {
    /// Whether a host may automate it.
    pub fn is_automatable(&self) -> bool {
        self.flags.contains(ParamInfoFlags::IS_AUTOMATABLE)
    }

    /// Whether it has steps, each with a word of its own.
    pub fn is_stepped(&self) -> bool {
        self.flags.contains(ParamInfoFlags::IS_STEPPED)
    }

    /// The value at a share of its range, 0 to 1.
    pub fn at(&self, share: f64) -> f64 {
        self.lowest + share * (self.highest - self.lowest)
    }

    fn new(info: &ParamInfo, saved_ids: &HashMap<u32, String>) -> Self {
        let number = info.id.get();
        let saved_id = saved_ids.get(&number).cloned();
        Self {
            id: saved_id.unwrap_or_else(|| number.to_string()),
            clap_id: number,
            name: String::from_utf8_lossy(info.name).into_owned(),
            group: String::from_utf8_lossy(info.module).into_owned(),
            lowest: info.min_value,
            highest: info.max_value,
            default: info.default_value,
            flags: info.flags,
        }
    }
}

/// Every parameter, in the plug-in's order. `saved_ids` are the ids that its state is written with.
pub fn list(params: PluginParams, plugin: &PluginMainThreadHandle, saved_ids: &[String]) -> Vec<Parameter> {
    let saved_ids = saved_ids.iter().map(|id| (number_of_saved_id(id), id.clone()));
    let saved_ids: HashMap<u32, String> = saved_ids.collect();
    let mut buffer = ParamInfoBuffer::new();
    let parameter = |index| {
        Some(Parameter::new(
            &params.get_info(plugin, index, &mut buffer)?,
            &saved_ids,
        ))
    };
    (0..params.count(plugin)).filter_map(parameter).collect()
}

/// The number that nice-plug gives to a parameter: a polynomial hash of its saved id to base 31, whose top bit is
/// kept clear for VST3 (nice-plug 0.4.2, `wrapper/util.rs`, `hash_param_id`). Songs depend on it, so it stays.
fn number_of_saved_id(id: &str) -> u32 {
    let hash = id.bytes().fold(0_u32, |hash, byte| {
        hash.wrapping_mul(31).wrapping_add(u32::from(byte))
    });
    hash & !(1 << 31)
}

impl Plugin {
    /// Every parameter, in the plug-in's order.
    pub fn parameters(&self) -> &[Parameter] {
        &self.parameters
    }

    /// Whether the plug-in describes a parameter `index`, which need not exist.
    pub fn has_parameter(&mut self, index: u32) -> Result<bool> {
        let (params, mut buffer) = (self.params()?, ParamInfoBuffer::new());
        let found = params.get_info(&self.instance.plugin_handle(), index, &mut buffer);
        Ok(found.is_some())
    }

    /// The parameter that is saved as `id`; an error names those that are there.
    pub fn parameter(&self, id: &str) -> Result<&Parameter> {
        let found = self.parameters.iter().find(|parameter| parameter.id == id);
        found.with_context(|| {
            let known: Vec<&str> = self.parameters.iter().map(|known| known.id.as_str()).collect();
            format!("unknown parameter \"{id}\"; known are {}", known.join(", "))
        })
    }

    /// The id under which the parameter of this number is saved.
    pub fn id_of(&self, number: u32) -> Option<String> {
        id_of(&self.parameters, number)
    }

    /// The current value of a parameter, in CLAP's scale.
    pub fn value(&mut self, id: &str) -> Result<f64> {
        let (params, number) = (self.params()?, self.parameter(id)?.clap_id);
        ClapId::from_raw(number)
            .and_then(|number| params.get_value(&self.instance.plugin_handle(), number))
            .context("the plug-in does not offer the value of a parameter that it lists")
    }

    /// A value of a parameter as the plug-in writes it, with its unit.
    pub fn text_of(&mut self, id: &str, value: f64) -> Result<String> {
        let (params, parameter) = (self.params()?, self.parameter(id)?.clone());
        let handle = self.instance.plugin_handle();
        Ok(text_value::write(params, &handle, &parameter, value))
    }

    /// The value, in CLAP's scale, that `text` stands for: a number in the parameter's plain unit, with or without
    /// that unit, or one of its words. An error says what the parameter takes.
    pub fn value_of(&mut self, id: &str, text: &str) -> Result<f64> {
        let (params, parameter) = (self.params()?, self.parameter(id)?.clone());
        text_value::read(params, &self.instance.plugin_handle(), &parameter, text)
    }

    /// Sets a parameter to the value that `text` stands for, as a person does between two passes. Errors as
    /// [`Plugin::value_of`]; only while the plug-in is not active.
    pub fn set(&mut self, id: &str, text: &str) -> Result<()> {
        let event = self.event(0, id, text)?;
        ensure!(!self.is_active(), PluginInstanceError::AlreadyActivatedPlugin);
        self.flush(&[event]).map(drop)
    }

    /// Sets several parameters, as [`Plugin::set`].
    pub fn set_all(&mut self, settings: &[(&str, &str)]) -> Result<()> {
        settings.iter().try_for_each(|(id, text)| self.set(id, text))
    }

    /// Prepares a rendering: that many channels, not in real time, with these settings.
    pub fn prepare(&mut self, channels: usize, settings: &[(&str, &str)]) -> Result<()> {
        self.select_channels(channels)?;
        self.set_mode(Mode::Offline)?;
        self.set_all(settings)
    }

    /// The event that sets a parameter, at input sample `sample`, to the value that `text` stands for. Errors as
    /// [`Plugin::value_of`].
    pub fn event(&mut self, sample: usize, id: &str, text: &str) -> Result<ParamEvent> {
        let value = self.value_of(id, text)?;
        Ok(ParamEvent::value(
            sample as u32,
            self.parameter(id)?.clap_id,
            value,
        ))
    }
}

/// The id under which that of `parameters` with this number is saved.
pub(super) fn id_of(parameters: &[Parameter], number: u32) -> Option<String> {
    let found = parameters.iter().find(|known| known.clap_id == number)?;
    Some(found.id.clone())
}
