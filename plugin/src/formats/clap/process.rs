//! `activate` and `process` of an insert: the host's ports, buffers and events are checked before the framework reads them.

use std::ptr;

use clap_sys::audio_buffer::clap_audio_buffer;
use clap_sys::ext::latency::clap_plugin_latency;
use clap_sys::plugin::clap_plugin;
use clap_sys::process::{CLAP_PROCESS_ERROR, clap_process, clap_process_status};

use super::audio_ports;
use super::events::Events;
use super::instance::Instance;
use crate::formats::host_guard::{CheckedBlock, HostBus, Layout};

/// The latency extension, in place of the framework's.
pub const LATENCY: clap_plugin_latency = clap_plugin_latency { get: Some(latency) };

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
        main: audio_ports::input_channels(instance, 0),
        reference: audio_ports::input_channels(instance, 1),
    };
    instance.guard.configure(layout, most_samples as usize);
    let activated = instance.framework.activate.is_some_and(|activate| {
        // SAFETY: the framework's function, on an instance that carries its data.
        unsafe { activate(plugin, sample_rate_hz, least_samples, most_samples) }
    });
    if activated {
        // SAFETY: CLAP has the host be valid as long as the insert; this is within its call of `activate`.
        unsafe {
            instance
                .latency
                .report(instance.link.latency_samples(), instance.host);
        }
    }
    activated
}

/// \[main-thread & (being-activated | active)\]
unsafe extern "C" fn latency(plugin: *const clap_plugin) -> u32 {
    // SAFETY: a host passes the pointer that it got, until it destroys the insert.
    unsafe { Instance::of(plugin) }.map_or(0, |instance| instance.latency.samples())
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
    let status = unsafe { run(plugin, &raw const checked) };
    // SAFETY: the host's buffers live as long as this call.
    unsafe { block.finish() };
    // SAFETY: CLAP has the host be valid as long as the insert.
    unsafe {
        instance
            .latency
            .request_restart_if_changed(instance.link.latency_samples(), instance.host);
    }
    status
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
    let count = bus.channel_count as usize;
    if bus.data32.is_null() && !bus.data64.is_null() {
        HostBus::wide(bus.data64, count)
    } else {
        HostBus::narrow(bus.data32, count)
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
