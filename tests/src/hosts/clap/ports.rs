//! The plug-in's ports and the layouts among which a host chooses.

use clack_extensions::audio_ports::{AudioPortFlags, AudioPortInfoBuffer, PluginAudioPorts};
use clack_extensions::audio_ports_config::{AudioPortsConfigBuffer, PluginAudioPortsConfig};
use clack_host::plugin::PluginMainThreadHandle;
use clack_host::utils::ClapId;

/// One port.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Port {
    /// The name that a person reads.
    pub name: String,
    /// How many channels it carries.
    pub channels: usize,
    /// Whether it is the main port; an input that is not is a side-chain.
    pub is_main: bool,
}

/// One layout of ports.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    /// The number by which CLAP knows it.
    pub clap_id: ClapId,
    /// The name that a person reads.
    pub name: String,
    /// Channels of the main input, which are those of the main output.
    pub channels: usize,
}

/// The ports of the current layout, inputs or outputs, in order.
pub fn list(ports: PluginAudioPorts, plugin: &PluginMainThreadHandle, inputs: bool) -> Vec<Port> {
    let mut buffer = AudioPortInfoBuffer::new();
    (0..ports.count(plugin, inputs))
        .filter_map(|index| {
            let port = ports.get(plugin, index, inputs, &mut buffer)?;
            Some(Port {
                name: String::from_utf8_lossy(port.name).into_owned(),
                channels: port.channel_count as usize,
                is_main: port.flags.contains(AudioPortFlags::IS_MAIN),
            })
        })
        .collect()
}

/// The layouts that the plug-in offers, its favourite first.
pub fn layouts(configurations: PluginAudioPortsConfig, plugin: &PluginMainThreadHandle) -> Vec<Layout> {
    let mut buffer = AudioPortsConfigBuffer::new();
    (0..configurations.count(plugin))
        .filter_map(|index| {
            let layout = configurations.get(plugin, index, &mut buffer)?;
            Some(Layout {
                clap_id: layout.id,
                name: String::from_utf8_lossy(layout.name).into_owned(),
                channels: layout.main_input?.channel_count as usize,
            })
        })
        .collect()
}
