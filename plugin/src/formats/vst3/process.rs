//! Layouts and blocks of a VST3 insert, checked before the framework reads them.

use std::ptr;
use std::sync::atomic::Ordering;

use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    AudioBusBuffers, AudioBusBuffers__type0, BusDirections_, IAudioProcessorTrait, IComponentTrait,
    ProcessData, ProcessSetup, SpeakerArrangement, SymbolicSampleSizes_,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    TBool, int32, kInvalidArgument, kResultFalse, kResultOk, tresult,
};

use super::instance::Instance;
use crate::formats::host_guard::{CheckedBlock, HostBus, Layout};
use crate::kind::Kind;

const NARROW: int32 = SymbolicSampleSizes_::kSample32 as int32;
const WIDE: int32 = SymbolicSampleSizes_::kSample64 as int32;

// VST3's rule for the pointers below: null, or valid for the length of the call.

impl<K: Kind> Instance<K> {
    /// On the main thread. Notes the layout and the longest block before the framework activates.
    pub(super) unsafe fn set_active(&self, active: TBool) -> tresult {
        if active != 0 {
            let layout = Layout {
                main: self.channels(0),
                reference: self.channels(1),
            };
            self.guard
                .configure(layout, self.most_samples.load(Ordering::Relaxed));
        }
        // SAFETY: the host's arguments, for the same function of the framework.
        unsafe { self.framework.setActive(active) }
    }

    /// Channels of an input bus of the present layout; 0 where there is no such bus.
    fn channels(&self, bus: int32) -> usize {
        let mut arrangement = 0;
        // SAFETY: there is room for the answer.
        let found = unsafe {
            self.framework
                .getBusArrangement(BusDirections_::kInput as int32, bus, &raw mut arrangement)
        };
        if found == kResultOk {
            arrangement.count_ones() as usize
        } else {
            0
        }
    }

    /// Notes whether sound runs.
    pub(super) unsafe fn set_processing(&self, processing: TBool) -> tresult {
        self.processing.store(processing != 0, Ordering::Release);
        // SAFETY: the host's arguments, for the same function of the framework.
        unsafe { self.framework.setProcessing(processing) }
    }

    /// Notes the longest block.
    pub(super) unsafe fn setup_processing(&self, setup: *mut ProcessSetup) -> tresult {
        // SAFETY: null or valid, by VST3's rule.
        let Some(setup) = (unsafe { setup.as_ref() }) else {
            return kInvalidArgument;
        };
        if !is_sample_size(setup.symbolicSampleSize) {
            return kResultFalse;
        }
        let most_samples = usize::try_from(setup.maxSamplesPerBlock).unwrap_or(0);
        self.most_samples.store(most_samples, Ordering::Relaxed);
        let mut narrow = ProcessSetup {
            symbolicSampleSize: NARROW,
            ..*setup
        };
        // SAFETY: the setup lives as long as this call.
        unsafe { self.framework.setupProcessing(&raw mut narrow) }
    }

    /// 32 bits, or 64, which become 32 in `process_block`.
    pub(super) unsafe fn can_process_sample_size(&self, size: int32) -> tresult {
        if is_sample_size(size) {
            kResultOk
        } else {
            kResultFalse
        }
    }

    /// Refuses a side-chain that no layout has: the framework compares its arrangement with that of the main bus.
    pub(super) unsafe fn set_bus_arrangements(
        &self,
        inputs: *mut SpeakerArrangement,
        input_count: int32,
        outputs: *mut SpeakerArrangement,
        output_count: int32,
    ) -> tresult {
        if inputs.is_null() || outputs.is_null() || input_count < 1 || output_count < 1 {
            return kInvalidArgument;
        }
        // SAFETY: VST3 has `inputs` hold `input_count` arrangements.
        let asked = unsafe { std::slice::from_raw_parts(inputs, input_count as usize) };
        let side_chains = asked[1..].iter().map(|arrangement| arrangement.count_ones());
        let is_ours = K::LAYOUTS.iter().any(|layout| {
            side_chains
                .clone()
                .eq(layout.aux_input_ports.iter().map(|channels| channels.get()))
        });
        if !is_ours {
            return kResultFalse;
        }
        // SAFETY: the host's arguments, for the same function of the framework.
        unsafe {
            self.framework
                .setBusArrangements(inputs, input_count, outputs, output_count)
        }
    }

    /// On the audio thread.
    pub(super) unsafe fn process_block(&self, data: *mut ProcessData) -> tresult {
        // SAFETY: null or valid, by VST3's rule.
        let Some(host) = (unsafe { data.as_ref() }) else {
            return kInvalidArgument;
        };
        let (Ok(samples), Some(mut host_layout)) = (usize::try_from(host.numSamples), self.guard.try_lock())
        else {
            return kInvalidArgument;
        };
        if !is_sample_size(host.symbolicSampleSize) {
            return kResultFalse;
        }
        let wide = host.symbolicSampleSize == WIDE;
        // SAFETY: VST3 has each list of buses and of channels be as long as it says.
        let checked = unsafe {
            let input = |index| bus(host.inputs, host.numInputs, index, wide);
            let output = bus(host.outputs, host.numOutputs, 0, wide);
            let (main, reference) = (input(0), input(1));
            host_layout.check(samples, main, reference, output)
        };
        let Some(mut block) = checked else {
            return kResultFalse;
        };
        // SAFETY: null or a list of `numOutputs` buses. The output is never reported as silent.
        if let Some(output) = unsafe { host.outputs.as_mut() }.filter(|_| host.numOutputs > 0) {
            output.silenceFlags = 0;
        }
        let has_output = block.main_output.is_some();
        let (mut inputs, mut outputs) = buses(&mut block, host_layout.layout());
        let mut checked = ProcessData {
            symbolicSampleSize: NARROW,
            numInputs: 1 + int32::from(host_layout.layout().reference > 0),
            inputs: inputs.as_mut_ptr(),
            numOutputs: int32::from(has_output),
            outputs: if has_output {
                outputs.as_mut_ptr()
            } else {
                ptr::null_mut()
            },
            ..*host
        };
        // SAFETY: the checked block and the host's buffers live as long as this call.
        unsafe {
            let result = self.framework.process(&raw mut checked);
            block.finish();
            result
        }
    }
}

fn is_sample_size(size: int32) -> bool {
    [NARROW, WIDE].contains(&size)
}

/// A bus of a host's list.
///
/// # Safety
///
/// `buses` is null or holds `count` buses, of 64-bit samples where `wide`.
unsafe fn bus(buses: *mut AudioBusBuffers, count: int32, index: int32, wide: bool) -> HostBus {
    if buses.is_null() || index >= count {
        return HostBus::MISSING;
    }
    // SAFETY: inside the list; the block's sample size says which pointer the union holds.
    unsafe {
        let bus = &*buses.add(index as usize);
        let count = usize::try_from(bus.numChannels).unwrap_or(0);
        if wide {
            HostBus::wide(bus.__field0.channelBuffers64, count)
        } else {
            HostBus::narrow(bus.__field0.channelBuffers32, count)
        }
    }
}

/// The buses of `layout`, with every channel.
fn buses(block: &mut CheckedBlock, layout: Layout) -> ([AudioBusBuffers; 2], [AudioBusBuffers; 1]) {
    let bus = |channels: *mut *mut f32, count: usize| AudioBusBuffers {
        numChannels: count as int32,
        silenceFlags: 0,
        __field0: AudioBusBuffers__type0 {
            channelBuffers32: channels,
        },
    };
    let output = block
        .main_output
        .as_mut()
        .map_or(ptr::null_mut(), |channels| channels.as_mut_ptr());
    (
        [
            bus(block.main_input.as_mut_ptr(), layout.main),
            bus(block.reference.as_mut_ptr(), layout.reference),
        ],
        [bus(output, layout.main)],
    )
}
