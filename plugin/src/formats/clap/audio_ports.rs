//! The framework's ports with 64-bit samples allowed, which `process` converts.

use clap_sys::ext::audio_ports::{
    CLAP_AUDIO_PORT_SUPPORTS_64BITS, CLAP_EXT_AUDIO_PORTS, clap_audio_port_info, clap_plugin_audio_ports,
};
use clap_sys::plugin::clap_plugin;

use super::instance::Instance;

/// The extension that a host gets in place of the framework's.
pub const EXTENSION: clap_plugin_audio_ports = clap_plugin_audio_ports {
    count: Some(count),
    get: Some(get),
};

/// Channels of an input port of the present layout; 0 where there is no such port.
pub fn input_channels(instance: &Instance, index: u32) -> usize {
    port(instance, index, true).map_or(0, |port| port.channel_count as usize)
}

fn framework(instance: &Instance) -> Option<&clap_plugin_audio_ports> {
    let plugin = &raw const instance.plugin;
    // SAFETY: the framework's function, on an instance that carries its data; what it returns lives as long.
    unsafe {
        instance.framework.get_extension?(plugin, CLAP_EXT_AUDIO_PORTS.as_ptr())
            .cast::<clap_plugin_audio_ports>()
            .as_ref()
    }
}

fn port_count(instance: &Instance, is_input: bool) -> u32 {
    framework(instance)
        .and_then(|ports| ports.count)
        // SAFETY: as in `framework`.
        .map_or(0, |count| unsafe { count(&raw const instance.plugin, is_input) })
}

fn port(instance: &Instance, index: u32, is_input: bool) -> Option<clap_audio_port_info> {
    let get = framework(instance)?.get?;
    if index >= port_count(instance, is_input) {
        return None;
    }
    // SAFETY: as in `framework`; all zeroes are a valid description.
    unsafe {
        let mut info: clap_audio_port_info = std::mem::zeroed();
        get(&raw const instance.plugin, index, is_input, &raw mut info).then_some(info)
    }
}

/// \[main-thread\]
unsafe extern "C" fn count(plugin: *const clap_plugin, is_input: bool) -> u32 {
    // SAFETY: a host passes the pointer that it got, until it destroys the insert.
    unsafe { Instance::of(plugin) }.map_or(0, |instance| port_count(instance, is_input))
}

/// \[main-thread\]
unsafe extern "C" fn get(
    plugin: *const clap_plugin,
    index: u32,
    is_input: bool,
    info: *mut clap_audio_port_info,
) -> bool {
    // SAFETY: a host passes the pointer that it got, and null or room for the answer.
    let (Some(instance), Some(info)) = (unsafe { (Instance::of(plugin), info.as_mut()) }) else {
        return false;
    };
    let Some(port) = port(instance, index, is_input) else {
        return false;
    };
    *info = clap_audio_port_info {
        flags: port.flags | CLAP_AUDIO_PORT_SUPPORTS_64BITS,
        ..port
    };
    true
}
