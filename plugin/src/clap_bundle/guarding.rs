//! The functions of an insert that a host's mistakes could reach the framework through, each with [`HostGuard`] before it.

use std::ptr;

use clap_sys::audio_buffer::clap_audio_buffer;
use clap_sys::ext::audio_ports::{CLAP_EXT_AUDIO_PORTS, clap_audio_port_info, clap_plugin_audio_ports};
use clap_sys::ext::params::{CLAP_EXT_PARAMS, clap_param_info, clap_plugin_params};
use clap_sys::plugin::clap_plugin;
use clap_sys::process::{CLAP_PROCESS_ERROR, clap_process, clap_process_status};

use super::events::Events;
use super::loading::Loadable;
use crate::host_guard::{CheckedBlock, HostBus, HostGuard, Layout};

/// The guard of one insert.
pub struct Guard {
    host: HostGuard,
    /// The framework's parameters, with the questions of ours before its answers.
    pub params: clap_plugin_params,
    framework_params: clap_plugin_params,
}

impl Guard {
    /// For the insert `framework`.
    ///
    /// # Safety
    ///
    /// It is one of the framework's, and alive.
    pub unsafe fn new(framework: &clap_plugin) -> Option<Self> {
        // SAFETY: the framework's own function on its own insert; its answer lives as long as that.
        let framework_params = unsafe {
            *(framework.get_extension?(framework, CLAP_EXT_PARAMS.as_ptr()))
                .cast::<clap_plugin_params>()
                .as_ref()?
        };
        Some(Self {
            host: HostGuard::default(),
            params: clap_plugin_params {
                get_info: Some(get_info),
                ..framework_params
            },
            framework_params,
        })
    }
}

/// On the main thread. Notes the layout and the longest block before the framework makes itself ready.
pub unsafe extern "C" fn activate(
    plugin: *const clap_plugin,
    sample_rate_hz: f64,
    least_samples: u32,
    most_samples: u32,
) -> bool {
    if plugin.is_null() {
        return false;
    }
    // SAFETY: a host passes the pointer that it was given, until it is destroyed.
    let loadable = unsafe { &*plugin.cast::<Loadable>() };
    // SAFETY: as above.
    let layout = Layout {
        main: unsafe { channels(plugin, loadable, 0) },
        reference: unsafe { channels(plugin, loadable, 1) },
    };
    loadable.guard.host.lay(layout, most_samples as usize);
    loadable
        .framework
        .activate
        // SAFETY: the framework's own function; `plugin` carries its data.
        .is_some_and(|activate| unsafe { activate(plugin, sample_rate_hz, least_samples, most_samples) })
}

/// Channels of an input port of the layout that stands; 0 where there is no such port.
unsafe fn channels(plugin: *const clap_plugin, loadable: &Loadable, index: u32) -> usize {
    // SAFETY: the framework's own functions; `plugin` carries its data. All zeroes are a port's description.
    let port = unsafe {
        let find = || {
            let get_extension = loadable.framework.get_extension?;
            let ports = get_extension(plugin, CLAP_EXT_AUDIO_PORTS.as_ptr())
                .cast::<clap_plugin_audio_ports>()
                .as_ref()?;
            let mut info: clap_audio_port_info = std::mem::zeroed();
            (index < ports.count?(plugin, true) && ports.get?(plugin, index, true, &raw mut info))
                .then_some(info)
        };
        find()
    };
    port.map_or(0, |port| port.channel_count as usize)
}

/// On the audio thread.
pub unsafe extern "C" fn process(
    plugin: *const clap_plugin,
    process: *const clap_process,
) -> clap_process_status {
    if plugin.is_null() || process.is_null() {
        return CLAP_PROCESS_ERROR;
    }
    // SAFETY: a host passes the pointer that it was given, and a block that lives as long as this call.
    let (loadable, host) = unsafe { (&*plugin.cast::<Loadable>(), &*process) };
    let Some(run) = loadable.framework.process else {
        return CLAP_PROCESS_ERROR;
    };
    let Some(mut ground) = loadable.guard.host.stand() else {
        return CLAP_PROCESS_ERROR;
    };
    // SAFETY: CLAP has each list of buses and of channels be as long as it says.
    let checked = unsafe {
        let input = |index| bus(host.audio_inputs, host.audio_inputs_count, index);
        let output = bus(host.audio_outputs, host.audio_outputs_count, 0);
        let (main, reference) = (input(0), input(1));
        ground.check(host.frames_count as usize, main, reference, output)
    };
    let Some(mut block) = checked else {
        return CLAP_PROCESS_ERROR;
    };
    // SAFETY: as above. What a host finds in its buffers is never told to be constant.
    if let Some(output) = unsafe { host.audio_outputs.as_mut() }.filter(|_| host.audio_outputs_count > 0) {
        output.constant_mask = 0;
    }
    let events = Events::new(host.in_events, host.frames_count);
    let list = events.list();
    let (inputs, mut outputs) = ports(&mut block, ground.layout());
    let checked = clap_process {
        audio_inputs: inputs.as_ptr(),
        audio_outputs: outputs.as_mut_ptr(),
        audio_inputs_count: 1 + u32::from(ground.layout().reference > 0),
        audio_outputs_count: u32::from(block.main_output.is_some()),
        in_events: if host.in_events.is_null() {
            ptr::null()
        } else {
            &raw const list
        },
        ..*host
    };
    // SAFETY: the framework's own function; what it is handed lives as long as this call.
    unsafe { run(plugin, &raw const checked) }
}

/// A bus of a host's list.
unsafe fn bus(buses: *const clap_audio_buffer, count: u32, index: u32) -> HostBus {
    if buses.is_null() || index >= count {
        return HostBus::MISSING;
    }
    // SAFETY: in the list.
    let bus = unsafe { &*buses.add(index as usize) };
    HostBus {
        channels: bus.data32,
        count: bus.channel_count as usize,
    }
}

/// The ports of the layout with every channel that they shall have.
fn ports(block: &mut CheckedBlock, layout: Layout) -> ([clap_audio_buffer; 2], [clap_audio_buffer; 1]) {
    let port = |data32: *mut *mut f32, channels: usize| clap_audio_buffer {
        data32,
        data64: ptr::null_mut(),
        channel_count: channels as u32,
        latency: 0,
        constant_mask: 0,
    };
    let output = block
        .main_output
        .as_mut()
        .map_or(ptr::null_mut(), |channels| channels.as_mut_ptr());
    (
        [
            port(block.main_input.as_mut_ptr(), layout.main),
            port(block.reference.as_mut_ptr(), layout.reference),
        ],
        [port(output, layout.main)],
    )
}

/// The framework looks at one parameter more than there are.
unsafe extern "C" fn get_info(plugin: *const clap_plugin, index: u32, info: *mut clap_param_info) -> bool {
    if plugin.is_null() {
        return false;
    }
    // SAFETY: a host passes the pointer that it was given, until it is destroyed.
    let params = unsafe { &(*plugin.cast::<Loadable>()).guard.framework_params };
    // SAFETY: the framework's own functions; `plugin` carries its data.
    unsafe {
        params.count.is_some_and(|count| index < count(plugin))
            && params
                .get_info
                .is_some_and(|get_info| get_info(plugin, index, info))
    }
}
