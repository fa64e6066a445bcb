//! The class that VST3 hosts get: the framework's, with [`HostGuard`] before what a host's mistakes could reach it through.

use std::ptr;
use std::sync::atomic::{AtomicUsize, Ordering};

use nice_plug::wrapper::vst3::Wrapper;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    AudioBusBuffers, AudioBusBuffers__type0, BusDirections_, ChannelContext::IInfoListener, IAudioProcessor,
    IAudioProcessorTrait, IComponent, IComponentHandler, IComponentTrait, IEditController,
    IEditControllerTrait, IProcessContextRequirements, IUnitInfo, ProcessData, ProcessSetup,
    SpeakerArrangement, SymbolicSampleSizes_,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    TBool, int32, kInvalidArgument, kResultFalse, kResultOk, tresult,
};
use nice_plug::wrapper::vst3::vst3::{Class, ComWrapper};

use super::relay::Relay;
use crate::farewell::Farewell;
use crate::host_guard::{CheckedBlock, HostBus, HostGuard, Layout};
use crate::insert::Insert;
use crate::kind::Kind;

/// An insert of one kind.
pub struct Guarded<K: Kind> {
    pub(super) framework: Wrapper<Insert<K>>,
    host: HostGuard,
    most_samples: AtomicUsize,
    pub(super) relay: ComWrapper<Relay>,
    farewell: Farewell,
}

// MIDI and note expressions, which the framework's own class offers too, are left out: there are no notes here.
impl<K: Kind> Class for Guarded<K> {
    type Interfaces = (
        IComponent,
        IEditController,
        IAudioProcessor,
        IProcessContextRequirements,
        IUnitInfo,
        IInfoListener,
    );
}

impl<K: Kind> Drop for Guarded<K> {
    fn drop(&mut self) {
        // SAFETY: null is no ear.
        unsafe { self.relay.connect(ptr::null_mut()) };
        self.farewell.say();
    }
}

// SAFETY of what follows: VST3 has a host pass pointers that are null or lead to what they say, for as long as a call.

impl<K: Kind> Guarded<K> {
    pub fn new() -> Self {
        let (framework, relay) = (Wrapper::new(), ComWrapper::new(Relay::default()));
        if let Some(handler) = relay.as_com_ref::<IComponentHandler>() {
            // SAFETY: the relay is valid, and the framework counts it.
            unsafe { framework.setComponentHandler(handler.as_ptr()) };
        }
        Self {
            framework,
            host: HostGuard::default(),
            most_samples: AtomicUsize::new(0),
            relay,
            farewell: Farewell::of_last_made(),
        }
    }

    /// On the main thread. Notes the layout that stands and the longest block, before the framework makes itself ready.
    pub(super) unsafe fn activate(&self, active: TBool) -> tresult {
        if active != 0 {
            let layout = Layout {
                main: self.channels(0),
                reference: self.channels(1),
            };
            self.host.lay(layout, self.most_samples.load(Ordering::Relaxed));
        }
        // SAFETY: as above.
        unsafe { self.framework.setActive(active) }
    }

    /// Channels of an input bus of the layout that stands; 0 where there is no such bus.
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

    pub(super) unsafe fn set_up(&self, setup: *mut ProcessSetup) -> tresult {
        // SAFETY: as above.
        if let Some(setup) = unsafe { setup.as_ref() } {
            let most_samples = usize::try_from(setup.maxSamplesPerBlock).unwrap_or(0);
            self.most_samples.store(most_samples, Ordering::Relaxed);
        }
        // SAFETY: as above.
        unsafe { self.framework.setupProcessing(setup) }
    }

    /// The framework compares the side-chain's arrangement with that of the main bus.
    pub(super) unsafe fn arrange(
        &self,
        inputs: *mut SpeakerArrangement,
        input_count: int32,
        outputs: *mut SpeakerArrangement,
        output_count: int32,
    ) -> tresult {
        if inputs.is_null() || outputs.is_null() || input_count < 1 || output_count < 1 {
            return kInvalidArgument;
        }
        // SAFETY: as above.
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
        // SAFETY: as above.
        unsafe {
            self.framework
                .setBusArrangements(inputs, input_count, outputs, output_count)
        }
    }

    /// On the audio thread.
    pub(super) unsafe fn run(&self, data: *mut ProcessData) -> tresult {
        // SAFETY: as above.
        let Some(host) = (unsafe { data.as_ref() }) else {
            return kInvalidArgument;
        };
        let (Ok(samples), Some(mut ground)) = (usize::try_from(host.numSamples), self.host.stand()) else {
            return kInvalidArgument;
        };
        if host.symbolicSampleSize != SymbolicSampleSizes_::kSample32 as int32 {
            return kResultFalse;
        }
        // SAFETY: as above.
        let checked = unsafe {
            let input = |index| bus(host.inputs, host.numInputs, index);
            let output = bus(host.outputs, host.numOutputs, 0);
            let (main, reference) = (input(0), input(1));
            ground.check(samples, main, reference, output)
        };
        let Some(mut block) = checked else {
            return kResultFalse;
        };
        // SAFETY: as above. What a host finds in its buffers is never told to be silence.
        if let Some(output) = unsafe { host.outputs.as_mut() }.filter(|_| host.numOutputs > 0) {
            output.silenceFlags = 0;
        }
        let has_output = block.main_output.is_some();
        let (mut inputs, mut outputs) = buses(&mut block, ground.layout());
        let mut checked = ProcessData {
            numInputs: 1 + int32::from(ground.layout().reference > 0),
            inputs: inputs.as_mut_ptr(),
            numOutputs: int32::from(has_output),
            outputs: if has_output {
                outputs.as_mut_ptr()
            } else {
                ptr::null_mut()
            },
            ..*host
        };
        // SAFETY: what is handed on lives as long as this call.
        unsafe { self.framework.process(&raw mut checked) }
    }
}

/// A bus of a host's list.
unsafe fn bus(buses: *mut AudioBusBuffers, count: int32, index: int32) -> HostBus {
    if buses.is_null() || index >= count {
        return HostBus::MISSING;
    }
    // SAFETY: in the list; the sample size says which of the two pointers it is.
    unsafe {
        let bus = &*buses.add(index as usize);
        HostBus {
            channels: bus.__field0.channelBuffers32,
            count: usize::try_from(bus.numChannels).unwrap_or(0),
        }
    }
}

/// The buses of the layout with every channel that they shall have.
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
