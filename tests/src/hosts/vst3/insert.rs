//! An insert, driven call by call.

use vst3::Steinberg::Vst::{
    BusDirections_, BusInfo, BusTypes_, IAudioProcessor, IAudioProcessorTrait, IComponent, IComponentHandler,
    IComponentTrait, IEditController, IEditControllerTrait, MediaTypes_, ProcessModes_, ProcessSetup,
    SpeakerArrangement, SymbolicSampleSizes_,
};
use vst3::Steinberg::{IBStream, IPluginBaseTrait, kResultOk};
use vst3::{ComPtr, ComWrapper};

use super::handler::{Asked, Handler};
use super::stream::Stream;
use super::wide_text;
use crate::hosts::clap::Port;

/// An insert on the thread that made it.
pub struct Vst3Insert {
    pub(super) component: ComPtr<IComponent>,
    pub(super) processor: ComPtr<IAudioProcessor>,
    pub(super) controller: ComPtr<IEditController>,
    handler: ComWrapper<Handler>,
}

/// How blocks will come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Setup {
    /// Sample rate in Hz.
    pub sample_rate_hz: f64,
    /// The longest block.
    pub most_samples: usize,
    /// Whether a song is bounced.
    pub offline: bool,
}

impl Drop for Vst3Insert {
    fn drop(&mut self) {
        // SAFETY: null takes the handler away; then the insert's last call.
        unsafe {
            self.controller.setComponentHandler(std::ptr::null_mut());
            self.component.terminate();
        }
    }
}

impl Vst3Insert {
    pub(super) fn new(component: ComPtr<IComponent>) -> Self {
        let processor = component.cast().expect("no IAudioProcessor");
        let controller: ComPtr<IEditController> = component.cast().expect("no IEditController");
        let handler = ComWrapper::new(Handler::default());
        let ear = handler
            .as_com_ref::<IComponentHandler>()
            .expect("the class has it");
        // SAFETY: null is a host that says nothing of itself; the handler lives as long as the insert.
        unsafe {
            assert_eq!(component.initialize(std::ptr::null_mut()), kResultOk);
            assert_eq!(controller.setComponentHandler(ear.as_ptr()), kResultOk);
        }
        Self {
            component,
            processor,
            controller,
            handler,
        }
    }

    /// What the plug-in asked for; forgets it.
    pub fn take_asked(&mut self) -> Asked {
        self.handler.take()
    }

    /// The audio buses, inputs or outputs.
    #[must_use]
    pub fn buses(&self, inputs: bool) -> Vec<Port> {
        let direction = if inputs {
            BusDirections_::kInput
        } else {
            BusDirections_::kOutput
        } as i32;
        let audio = MediaTypes_::kAudio as i32;
        let bus = |index| {
            // SAFETY: numbers and texts, all of which may be zero; there is room for the answer.
            let info = unsafe {
                let mut info: BusInfo = std::mem::zeroed();
                (self.component.getBusInfo(audio, direction, index, &raw mut info) == kResultOk)
                    .then_some(info)
            }?;
            Some(Port {
                name: wide_text(&info.name.map(|unit| unit as u16)),
                channels: info.channelCount as usize,
                is_main: info.busType == BusTypes_::kMain as i32,
            })
        };
        // SAFETY: numbers only.
        let count = unsafe { self.component.getBusCount(audio, direction) };
        (0..count).filter_map(bus).collect()
    }

    /// Asks for arrangements of speakers, one a bus; whether the plug-in takes them.
    pub fn arrange(&mut self, inputs: &[SpeakerArrangement], outputs: &[SpeakerArrangement]) -> bool {
        let (mut ins, mut outs) = (inputs.to_vec(), outputs.to_vec());
        // SAFETY: each list is as long as it says.
        unsafe {
            self.processor.setBusArrangements(
                ins.as_mut_ptr(),
                ins.len() as i32,
                outs.as_mut_ptr(),
                outs.len() as i32,
            ) == kResultOk
        }
    }

    /// Whether it processes samples of 32 and of 64 bits.
    #[must_use]
    pub fn sample_sizes(&self) -> [bool; 2] {
        [SymbolicSampleSizes_::kSample32, SymbolicSampleSizes_::kSample64]
            // SAFETY: numbers only.
            .map(|size| unsafe { self.processor.canProcessSampleSize(size as i32) == kResultOk })
    }

    /// Says how blocks will come; not while active.
    pub fn set_up(&mut self, setup: Setup) -> bool {
        let mut setup = ProcessSetup {
            processMode: if setup.offline {
                ProcessModes_::kOffline
            } else {
                ProcessModes_::kRealtime
            } as i32,
            symbolicSampleSize: SymbolicSampleSizes_::kSample32 as i32,
            maxSamplesPerBlock: setup.most_samples as i32,
            sampleRate: setup.sample_rate_hz,
        };
        // SAFETY: it lives as long as the call.
        unsafe { self.processor.setupProcessing(&raw mut setup) == kResultOk }
    }

    /// Makes it ready for sound, or not.
    pub fn set_active(&mut self, active: bool) -> bool {
        // SAFETY: a number only.
        unsafe { self.component.setActive(active.into()) == kResultOk }
    }

    /// Starts or stops processing; to start resets.
    pub fn set_processing(&mut self, processing: bool) -> bool {
        // SAFETY: a number only.
        unsafe { self.processor.setProcessing(processing.into()) == kResultOk }
    }

    /// The latency that it reports now, in samples.
    #[must_use]
    pub fn latency_samples(&self) -> u32 {
        // SAFETY: a question without an argument.
        unsafe { self.processor.getLatencySamples() }
    }

    /// How long it sounds on after its input has fallen silent, in samples.
    #[must_use]
    pub fn tail_samples(&self) -> u32 {
        // SAFETY: a question without an argument.
        unsafe { self.processor.getTailSamples() }
    }

    /// The state, as a song keeps it; `None` where the plug-in refuses.
    #[must_use]
    pub fn save_state(&self) -> Option<Vec<u8>> {
        let stream = ComWrapper::new(Stream::default());
        let given = stream.as_com_ref::<IBStream>()?;
        // SAFETY: the stream lives as long as the call.
        let saved = unsafe { self.component.getState(given.as_ptr()) == kResultOk };
        saved.then(|| stream.bytes())
    }

    /// Hands a state over; whether the plug-in took it.
    pub fn load_state(&mut self, bytes: &[u8]) -> bool {
        let stream = ComWrapper::new(Stream::new(bytes));
        // SAFETY: the stream lives as long as the call.
        stream
            .as_com_ref::<IBStream>()
            .is_some_and(|given| unsafe { self.component.setState(given.as_ptr()) == kResultOk })
    }
}
