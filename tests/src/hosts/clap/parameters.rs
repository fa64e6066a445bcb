//! The parameters of a plug-in, as CLAP tells of them.

use std::collections::HashMap;

use clack_extensions::params::{ParamInfo, ParamInfoBuffer, ParamInfoFlags, PluginParams};
use clack_host::plugin::PluginMainThreadHandle;
use clack_host::utils::ClapId;

pub use clack_extensions::params::ParamInfoFlags as ParameterFlags;

/// One parameter. Its values are in CLAP's own scale: 0 ... 1, or 0 ... steps.
#[derive(Debug, Clone, PartialEq)]
pub struct Parameter {
    /// The id that is saved in songs.
    pub id: String,
    /// The number by which CLAP knows it.
    pub clap_id: ClapId,
    /// The name that a person reads.
    pub name: String,
    /// The group that it stands in.
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
    #[must_use]
    pub fn is_automatable(&self) -> bool {
        self.flags.contains(ParamInfoFlags::IS_AUTOMATABLE)
    }

    /// Whether it has steps, each with a word of its own.
    #[must_use]
    pub fn is_stepped(&self) -> bool {
        self.flags.contains(ParamInfoFlags::IS_STEPPED)
    }

    fn new(info: &ParamInfo, saved_ids: &HashMap<u32, String>) -> Self {
        let number = info.id.get();
        Self {
            id: saved_ids
                .get(&number)
                .cloned()
                .unwrap_or_else(|| number.to_string()),
            clap_id: info.id,
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
    let saved_ids: HashMap<u32, String> = saved_ids
        .iter()
        .map(|id| (number_of_saved_id(id), id.clone()))
        .collect();
    let mut buffer = ParamInfoBuffer::new();
    (0..params.count(plugin))
        .filter_map(|index| {
            let info = params.get_info(plugin, index, &mut buffer)?;
            Some(Parameter::new(&info, &saved_ids))
        })
        .collect()
}

/// Whether the plug-in tells of a parameter `index`, which need not exist.
pub fn is_told(params: PluginParams, plugin: &PluginMainThreadHandle, index: u32) -> bool {
    params
        .get_info(plugin, index, &mut ParamInfoBuffer::new())
        .is_some()
}

/// The number that nice-plug gives to a parameter: a polynomial hash of its saved id to base 31, whose top bit is
/// kept clear for VST3 (nice-plug 0.4.2, `wrapper/util.rs`, `hash_param_id`). Songs depend on it, so it stays.
fn number_of_saved_id(id: &str) -> u32 {
    let hash = id.bytes().fold(0_u32, |hash, byte| {
        hash.wrapping_mul(31).wrapping_add(u32::from(byte))
    });
    hash & !(1 << 31)
}
