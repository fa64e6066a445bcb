//! Blocks in CLAP's own structures.

use std::ptr;

use clap_sys::audio_buffer::clap_audio_buffer;
use clap_sys::events::clap_event_transport;
use clap_sys::plugin::clap_plugin;
use clap_sys::process::{
    CLAP_PROCESS_CONTINUE, CLAP_PROCESS_CONTINUE_IF_NOT_QUIET, CLAP_PROCESS_SLEEP, CLAP_PROCESS_TAIL,
    clap_process,
};

use super::inside::{BlockTime, Inside};
use super::raw_events::{self, EventList};
use super::{Answer, Bus, Handed};

/// Hands one block over.
///
/// # Safety
///
/// `plugin` is active and started, and no other thread processes.
pub unsafe fn process(plugin: *const clap_plugin, block: &mut Handed) -> (Answer, BlockTime) {
    let mut input_lists: Vec<_> = block.inputs.iter_mut().map(Bus::pointers).collect();
    let mut output_lists: Vec<_> = block.outputs.iter_mut().map(Bus::pointers).collect();
    if block.in_place {
        output_lists[0].clone_from(&input_lists[0]);
    }
    let port = |list: &mut Option<Vec<*mut f32>>, bus: &Bus| clap_audio_buffer {
        data32: list.as_mut().map_or(ptr::null_mut(), |list| list.as_mut_ptr()),
        data64: ptr::null_mut(),
        channel_count: list.as_ref().map_or(0, |list| list.len() as u32),
        latency: 0,
        constant_mask: bus.constant_mask,
    };
    let inputs: Vec<_> = input_lists
        .iter_mut()
        .zip(&block.inputs)
        .map(|(list, bus)| port(list, bus))
        .collect();
    let mut outputs: Vec<_> = output_lists
        .iter_mut()
        .zip(&block.outputs)
        .map(|(list, bus)| port(list, bus))
        .collect();
    let place = block.place.map(raw_events::transport);
    let events = EventList::new(&block.told);
    let given = clap_process {
        steady_time: -1,
        frames_count: block.samples as u32,
        transport: place
            .as_ref()
            .map_or(ptr::null(), ptr::from_ref::<clap_event_transport>),
        audio_inputs: inputs.as_ptr(),
        audio_outputs: outputs.as_mut_ptr(),
        audio_inputs_count: inputs.len() as u32,
        audio_outputs_count: outputs.len() as u32,
        in_events: &raw const *events.given(),
        out_events: ptr::null(),
    };
    let inside = Inside::enter();
    // SAFETY: every list is as long as it says and lives until the end of this function; the plug-in says the caller.
    let status = unsafe { (*plugin).process.map(|process| process(plugin, &raw const given)) };
    let took = inside.leave();
    for (bus, output) in block.outputs.iter_mut().zip(&outputs) {
        bus.constant_mask = output.constant_mask;
    }
    let answer = match status {
        Some(CLAP_PROCESS_CONTINUE) => Answer::Continue,
        Some(CLAP_PROCESS_CONTINUE_IF_NOT_QUIET) => Answer::ContinueIfNotQuiet,
        Some(CLAP_PROCESS_TAIL) => Answer::Tail,
        Some(CLAP_PROCESS_SLEEP) => Answer::Sleep,
        _ => Answer::Refused,
    };
    (answer, took)
}
