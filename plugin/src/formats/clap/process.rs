//! `activate` and `process` of an insert: the host's ports, buffers and events are checked before the framework reads them.

use std::ptr;

use clap_sys::audio_buffer::clap_audio_buffer;
use clap_sys::ext::audio_ports::{CLAP_EXT_AUDIO_PORTS, clap_audio_port_info, clap_plugin_audio_ports};
use clap_sys::plugin::clap_plugin;
use clap_sys::process::{CLAP_PROCESS_ERROR, clap_process, clap_process_status};

use super::events::Events;
use super::instance::Instance;
use crate::formats::host_guard::{CheckedBlock, HostBus, Layout};

/// \[main-thread\] Notes the layout and the longest block before the framework activates.
pub unsafe extern "C" fn activate(
    plugin: *const clap_plugin,
    sample_rate_hz: f64,
    least_samples: u32,
    most_samples: u32,
) -> bool {
    // SAFETY: a host passes the pointer that it got, until it destroys the insert.
    let Some(instance) = (unsafe { Instance::of(plugin) }) else {
        return false;
    };
    let layout = Layout {
        main: channels(instance, 0),
        reference: channels(instance, 1),
    };
    instance.guard.configure(layout, most_samples as usize);
    instance
        .framework
        .activate
        // SAFETY: the framework's function, on an instance that carries its data.
        .is_some_and(|activate| unsafe { activate(plugin, sample_rate_hz, least_samples, most_samples) })
}

/// Channels of an input port of the present layout; 0 where there is no such port.
fn channels(instance: &Instance, index: u32) -> usize {
    let plugin = &raw const instance.plugin;
    // SAFETY: the framework's functions, on an instance that carries its data. All zeroes are a valid port description.
    let port = unsafe {
        let find = || {
            let get_extension = instance.framework.get_extension?;
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

/// \[audio-thread\]
pub unsafe extern "C" fn process(
    plugin: *const clap_plugin,
    process: *const clap_process,
) -> clap_process_status {
    // SAFETY: a host passes the pointer that it got, and null or a block that lives as long as this call.
    let (Some(instance), Some(host)) = (unsafe { (Instance::of(plugin), process.as_ref()) }) else {
        return CLAP_PROCESS_ERROR;
    };
    let Some(run) = instance.framework.process else {
        return CLAP_PROCESS_ERROR;
    };
    let Some(mut host_layout) = instance.guard.try_lock() else {
        return CLAP_PROCESS_ERROR;
    };
    // SAFETY: CLAP has each list of buses and of channels be as long as it says.
    let checked = unsafe {
        let input = |index| bus(host.audio_inputs, host.audio_inputs_count, index);
        let output = bus(host.audio_outputs, host.audio_outputs_count, 0);
        let (main, reference) = (input(0), input(1));
        host_layout.check(host.frames_count as usize, main, reference, output)
    };
    let Some(mut block) = checked else {
        return CLAP_PROCESS_ERROR;
    };
    // SAFETY: null or a list of `audio_outputs_count` ports. The output is never reported as constant.
    if let Some(output) = unsafe { host.audio_outputs.as_mut() }.filter(|_| host.audio_outputs_count > 0) {
        output.constant_mask = 0;
    }
    let events = Events::new(host.in_events, host.frames_count);
    let list = events.list();
    let (inputs, mut outputs) = ports(&mut block, host_layout.layout());
    let checked = clap_process {
        audio_inputs: inputs.as_ptr(),
        audio_outputs: outputs.as_mut_ptr(),
        audio_inputs_count: 1 + u32::from(host_layout.layout().reference > 0),
        audio_outputs_count: u32::from(block.main_output.is_some()),
        in_events: if host.in_events.is_null() {
            ptr::null()
        } else {
            &raw const list
        },
        ..*host
    };
    // SAFETY: the framework's function, on an instance that carries its data; the block lives as long as this call.
    unsafe { run(plugin, &raw const checked) }
}

/// A bus of a host's list.
///
/// # Safety
///
/// `buses` is null or holds `count` buses.
unsafe fn bus(buses: *const clap_audio_buffer, count: u32, index: u32) -> HostBus {
    if buses.is_null() || index >= count {
        return HostBus::MISSING;
    }
    // SAFETY: inside the list.
    let bus = unsafe { &*buses.add(index as usize) };
    HostBus {
        channels: bus.data32,
        count: bus.channel_count as usize,
    }
}

/// The ports of `layout`, with every channel.
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
