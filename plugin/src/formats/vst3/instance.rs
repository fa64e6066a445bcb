//! The class that VST3 hosts get: the framework's, with the host's blocks, layouts and indices checked first.

use std::ptr;
use std::sync::atomic::{AtomicUsize, Ordering};

use nice_plug::wrapper::vst3::Wrapper;
use nice_plug::wrapper::vst3::vst3::Steinberg::Vst::{
    AudioBusBuffers, AudioBusBuffers__type0, BusDirections_, ChannelContext::IInfoListener, IAudioProcessor,
    IAudioProcessorTrait, IComponent, IComponentHandler, IComponentTrait, IEditController,
    IEditControllerTrait, IProcessContextRequirements, IUnitInfo, ParameterInfo, ProcessData, ProcessSetup,
    SpeakerArrangement, SymbolicSampleSizes_,
};
use nice_plug::wrapper::vst3::vst3::Steinberg::{
    IBStream, TBool, int32, kInvalidArgument, kResultFalse, kResultOk, tresult,
};
use nice_plug::wrapper::vst3::vst3::{Class, ComWrapper};

use super::component_handler::ComponentHandlerProxy;
use super::state::is_short_enough;
use crate::formats::background::BackgroundTasks;
use crate::formats::host_guard::{CheckedBlock, HostBus, HostGuard, Layout};
use crate::insert::Insert;
use crate::kind::Kind;

/// An insert of one kind.
pub struct Instance<K: Kind> {
    pub(super) framework: Wrapper<Insert<K>>,
    guard: HostGuard,
    most_samples: AtomicUsize,
    handler: ComWrapper<ComponentHandlerProxy>,
    background: BackgroundTasks,
}

// MIDI and note expressions, which the framework's own class offers too, are left out: there are no notes here.
impl<K: Kind> Class for Instance<K> {
    type Interfaces = (
        IComponent,
        IEditController,
        IAudioProcessor,
        IProcessContextRequirements,
        IUnitInfo,
        IInfoListener,
    );
}

impl<K: Kind> Drop for Instance<K> {
    fn drop(&mut self) {
        // SAFETY: null disconnects the host's handler.
        unsafe { self.handler.connect(ptr::null_mut()) };
        self.background.flush_background_tasks();
    }
}

// VST3's rule for the pointers below: null, or valid for the length of the call.

impl<K: Kind> Instance<K> {
    pub fn new() -> Self {
        let (framework, proxy) = (Wrapper::new(), ComWrapper::new(ComponentHandlerProxy::default()));
        if let Some(handler) = proxy.as_com_ref::<IComponentHandler>() {
            // SAFETY: the proxy is valid, and the framework counts its reference.
            unsafe { framework.setComponentHandler(handler.as_ptr()) };
        }
        Self {
            framework,
            guard: HostGuard::default(),
            most_samples: AtomicUsize::new(0),
            handler: proxy,
            background: BackgroundTasks::of_newest_insert(),
        }
    }

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

    /// The framework reads one parameter behind the last where `index` is the count.
    pub(super) unsafe fn parameter_info(&self, index: int32, info: *mut ParameterInfo) -> tresult {
        // SAFETY: the host's arguments, for the same function of the framework.
        unsafe {
            if index >= self.framework.getParameterCount() {
                return kInvalidArgument;
            }
            self.framework.getParameterInfo(index, info)
        }
    }

    /// Refuses a state that is too large.
    pub(super) unsafe fn set_state(&self, state: *mut IBStream) -> tresult {
        // SAFETY: the host's arguments, for the same function of the framework.
        unsafe {
            if is_short_enough(state) {
                IComponentTrait::setState(&self.framework, state)
            } else {
                kResultFalse
            }
        }
    }

    /// The framework keeps the proxy; the host's handler goes behind it.
    pub(super) unsafe fn set_component_handler(&self, handler: *mut IComponentHandler) -> tresult {
        // SAFETY: null or valid, by VST3's rule.
        unsafe { self.handler.connect(handler) };
        kResultOk
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

    pub(super) unsafe fn setup_processing(&self, setup: *mut ProcessSetup) -> tresult {
        // SAFETY: null or valid, by VST3's rule.
        if let Some(setup) = unsafe { setup.as_ref() } {
            let most_samples = usize::try_from(setup.maxSamplesPerBlock).unwrap_or(0);
            self.most_samples.store(most_samples, Ordering::Relaxed);
        }
        // SAFETY: the host's arguments, for the same function of the framework.
        unsafe { self.framework.setupProcessing(setup) }
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
        if host.symbolicSampleSize != SymbolicSampleSizes_::kSample32 as int32 {
            return kResultFalse;
        }
        // SAFETY: VST3 has each list of buses and of channels be as long as it says.
        let checked = unsafe {
            let input = |index| bus(host.inputs, host.numInputs, index);
            let output = bus(host.outputs, host.numOutputs, 0);
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
        // SAFETY: the checked block lives as long as this call.
        unsafe { self.framework.process(&raw mut checked) }
    }
}

/// A bus of a host's list.
///
/// # Safety
///
/// `buses` is null or holds `count` buses.
unsafe fn bus(buses: *mut AudioBusBuffers, count: int32, index: int32) -> HostBus {
    if buses.is_null() || index >= count {
        return HostBus::MISSING;
    }
    // SAFETY: inside the list; the block holds 32-bit samples, so the union holds `channelBuffers32`.
    unsafe {
        let bus = &*buses.add(index as usize);
        HostBus {
            channels: bus.__field0.channelBuffers32,
            count: usize::try_from(bus.numChannels).unwrap_or(0),
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
