//! The plug-in's ports and the layouts among which a host chooses.

use anyhow::{Context, Result};
use clack_extensions::audio_ports::{AudioPortFlags, AudioPortInfoBuffer, PluginAudioPorts};
use clack_extensions::audio_ports_config::{AudioPortsConfigBuffer, PluginAudioPortsConfig};
use clack_host::utils::ClapId;

use super::Plugin;

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
    /// The number by which CLAP addresses it.
    pub clap_id: ClapId,
    /// The name that a person reads.
    pub name: String,
    /// Channels of the main input, which are those of the main output.
    pub channels: usize,
}

impl Plugin {
    /// The input ports of the current layout: the voice, then the side-chain if there is one.
    pub fn inputs(&mut self) -> Result<Vec<Port>> {
        self.ports(true)
    }

    /// The output ports of the current layout.
    pub fn outputs(&mut self) -> Result<Vec<Port>> {
        self.ports(false)
    }

    fn ports(&mut self, inputs: bool) -> Result<Vec<Port>> {
        let ports = self.extension::<PluginAudioPorts>("audio ports")?;
        let (plugin, mut buffer) = (self.instance.plugin_handle(), AudioPortInfoBuffer::new());
        let port = |index| {
            let port = ports.get(&plugin, index, inputs, &mut buffer)?;
            Some(Port {
                name: String::from_utf8_lossy(port.name).into_owned(),
                channels: port.channel_count as usize,
                is_main: port.flags.contains(AudioPortFlags::IS_MAIN),
            })
        };
        Ok((0..ports.count(&plugin, inputs)).filter_map(port).collect())
    }

    /// The layouts among which a host may choose, the plug-in's favourite first; empty where there is but one.
    pub fn layouts(&mut self) -> Vec<Layout> {
        let Ok(layouts) = self.extension::<PluginAudioPortsConfig>("layouts") else {
            return Vec::new();
        };
        let (plugin, mut buffer) = (self.instance.plugin_handle(), AudioPortsConfigBuffer::new());
        let layout = |index| {
            let layout = layouts.get(&plugin, index, &mut buffer)?;
            Some(Layout {
                clap_id: layout.id,
                name: String::from_utf8_lossy(layout.name).into_owned(),
                channels: layout.main_input?.channel_count as usize,
            })
        };
        (0..layouts.count(&plugin)).filter_map(layout).collect()
    }

    /// Chooses the layout whose main ports carry `channels` channels; fails where there is none.
    pub fn select_channels(&mut self, channels: usize) -> Result<()> {
        let is_asked = |port: &Port| port.channels == channels;
        if self.inputs()?.first().is_some_and(is_asked) {
            return Ok(());
        }
        let missing = || format!("the plug-in has no layout for {channels} channels");
        let mut layouts = self.layouts().into_iter();
        let layout = layouts
            .find(|layout| layout.channels == channels)
            .with_context(missing)?;
        self.extension::<PluginAudioPortsConfig>("layouts")?
            .select(&self.instance.plugin_handle(), layout.clap_id)
            .ok()
            .with_context(missing)
    }
}
