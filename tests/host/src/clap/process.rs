//! Blocks in CLAP's own structures.

use std::ptr;

use anyhow::{Context, Result};
use clack_host::process::PluginAudioProcessor;
use clap_sys::audio_buffer::clap_audio_buffer;
use clap_sys::events::clap_event_transport;
use clap_sys::process::{
    CLAP_PROCESS_CONTINUE, CLAP_PROCESS_CONTINUE_IF_NOT_QUIET, CLAP_PROCESS_SLEEP, CLAP_PROCESS_TAIL,
    clap_process,
};

use super::Edit;
use super::events::{EventLists, raw_transport};
use super::handlers::Handlers;
use crate::block::{List, Lists};
use crate::rules::HostRules;
use crate::{BlockTime, Bus, HostBlock, ProcessCall, ProcessStatus};

/// What came of a block.
pub struct Processed {
    /// What the plug-in returned.
    pub status: ProcessStatus,
    /// How long it took.
    pub time: BlockTime,
    /// What it sent back.
    pub edits: Vec<Edit>,
}

/// Hands one block over, on the audio thread; starts processing where it has not begun.
pub fn process(
    processor: &mut PluginAudioProcessor<Handlers>,
    rules: &HostRules,
    block: &mut HostBlock,
) -> Result<Processed> {
    let plugin = processor
        .ensure_processing_started()
        .context("the plug-in does not start")?
        .plugin_handle()
        .as_raw_ptr();
    let mut lists = Lists::new(block);
    let inputs = ports(&mut lists.inputs, &block.inputs, block.wide);
    let mut outputs = ports(&mut lists.outputs, &block.outputs, block.wide);
    let transport = block.transport.map(raw_transport);
    let events = EventLists::new(&block.events, block.samples as u32, rules);
    let given = clap_process {
        steady_time: -1,
        frames_count: block.samples as u32,
        transport: transport
            .as_ref()
            .map_or(ptr::null(), ptr::from_ref::<clap_event_transport>),
        audio_inputs: inputs.as_ptr(),
        audio_outputs: outputs.as_mut_ptr(),
        audio_inputs_count: inputs.len() as u32,
        audio_outputs_count: outputs.len() as u32,
        in_events: &raw const *events.given(),
        out_events: &raw const *events.taken(),
    };
    let call = ProcessCall::enter();
    // SAFETY: the plug-in is started, and `processor` is borrowed, so that no other thread processes; every list is as
    // long as it says and lives until the end of this function.
    let status = unsafe { (*plugin).process.map(|process| process(plugin, &raw const given)) };
    let time = call.leave();
    lists.write_back(block, outputs.iter().map(|output| output.constant_mask));
    Ok(Processed {
        status: match status {
            Some(CLAP_PROCESS_CONTINUE) => ProcessStatus::Continue,
            Some(CLAP_PROCESS_CONTINUE_IF_NOT_QUIET) => ProcessStatus::ContinueIfNotQuiet,
            Some(CLAP_PROCESS_TAIL) => ProcessStatus::Tail,
            Some(CLAP_PROCESS_SLEEP) => ProcessStatus::Sleep,
            _ => ProcessStatus::Refused,
        },
        time,
        edits: events.take_edits(),
    })
}

fn ports(lists: &mut [List], buses: &[Bus], wide: bool) -> Vec<clap_audio_buffer> {
    let port = |(list, bus): (&mut List, &Bus)| {
        let channels = list.as_mut().map_or(ptr::null_mut(), |list| list.as_mut_ptr());
        clap_audio_buffer {
            data32: if wide { ptr::null_mut() } else { channels },
            data64: if wide { channels.cast() } else { ptr::null_mut() },
            channel_count: list.as_ref().map_or(0, |list| list.len() as u32),
            latency: 0,
            constant_mask: bus.constant_mask,
        }
    };
    lists.iter_mut().zip(buses).map(port).collect()
}
