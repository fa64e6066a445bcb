//! An insert, driven call by call.

use std::sync::{Arc, Mutex};

use vst3::Steinberg::Vst::{
    BusDirections_, BusInfo, BusTypes_, IAudioProcessor, IAudioProcessorTrait, IComponent, IComponentHandler,
    IComponentTrait, IEditController, IEditControllerTrait, IHostApplication, MediaTypes_, ProcessModes_,
    ProcessSetup, SpeakerArrangement, SymbolicSampleSizes_,
};
use vst3::Steinberg::{IBStream, IPluginBaseTrait, kResultOk};
use vst3::{ComPtr, ComWrapper};

use super::handler::{Handler, HostContext, Requests};
use super::menu::ShownMenu;
use super::run_loop::RunLoop;
use super::stream::Stream;
use super::wide_text;
use crate::clap::Port;
use crate::lock;
use crate::rules::{Enforcement, HostRules, Phase};

/// An insert on the thread that made it.
pub struct Vst3Insert {
    pub(super) component: ComPtr<IComponent>,
    pub(super) processor: ComPtr<IAudioProcessor>,
    pub(super) controller: ComPtr<IEditController>,
    handler: ComWrapper<Handler>,
    context: ComWrapper<HostContext>,
    pub(super) rules: Arc<HostRules>,
    /// The last field: it looks at what the end of the insert did, too.
    _enforcement: Enforcement,
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
        self.rules.enter(Phase::Destroying);
        *lock(&self.handler.menus.controller) = None;
        // SAFETY: null takes the handler away; `terminate` is the insert's last call.
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
        let rules = Arc::new(HostRules::new(Phase::Inactive));
        rules.enforce();
        let handler = ComWrapper::new(Handler::new(Arc::clone(&rules), &controller));
        let context = ComWrapper::new(HostContext {
            rules: Arc::clone(&rules),
            run_loop: RunLoop::default(),
            frame: Mutex::default(),
        });
        let handler_pointer = handler
            .to_com_ptr::<IComponentHandler>()
            .expect("the class has it");
        let context_pointer = context
            .to_com_ptr::<IHostApplication>()
            .expect("the class has it");
        // SAFETY: both are valid, and live as long as the insert.
        unsafe {
            assert_eq!(component.initialize(context_pointer.as_ptr().cast()), kResultOk);
            assert_eq!(
                controller.setComponentHandler(handler_pointer.as_ptr()),
                kResultOk
            );
        }
        Self {
            component,
            processor,
            controller,
            handler,
            context,
            _enforcement: Enforcement(Arc::clone(&rules)),
            rules,
        }
    }

    /// The rules for its callbacks.
    pub fn rules(&self) -> &HostRules {
        &self.rules
    }

    /// The context of its host, which may outlive it.
    pub fn context(&self) -> ComWrapper<HostContext> {
        self.context.clone()
    }

    /// What the plug-in asked for, after one turn of the run loop; forgets it.
    pub fn take_requests(&mut self) -> Requests {
        self.context.run_loop.turn();
        self.requests()
    }

    /// What the plug-in asked for, without a turn of the run loop; forgets it.
    pub fn requests(&mut self) -> Requests {
        self.handler.take()
    }

    /// The menus that the plug-in had the host show, after one turn of the run loop; forgets them.
    pub fn take_menus(&mut self) -> Vec<ShownMenu> {
        self.context.run_loop.turn();
        self.handler.menus.take()
    }

    /// The audio buses, inputs or outputs.
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
    pub fn sample_sizes(&self) -> [bool; 2] {
        [SymbolicSampleSizes_::kSample32, SymbolicSampleSizes_::kSample64]
            // SAFETY: numbers only.
            .map(|size| unsafe { self.processor.canProcessSampleSize(size as i32) == kResultOk })
    }

    /// Says how blocks will come; not while active.
    pub fn set_up(&mut self, setup: Setup) -> bool {
        self.set_up_for(setup, false)
    }

    /// As [`Vst3Insert::set_up`], for samples of 64 bits where `wide`.
    pub fn set_up_for(&mut self, setup: Setup, wide: bool) -> bool {
        let mut setup = ProcessSetup {
            processMode: if setup.offline {
                ProcessModes_::kOffline
            } else {
                ProcessModes_::kRealtime
            } as i32,
            symbolicSampleSize: if wide {
                SymbolicSampleSizes_::kSample64
            } else {
                SymbolicSampleSizes_::kSample32
            } as i32,
            maxSamplesPerBlock: setup.most_samples as i32,
            sampleRate: setup.sample_rate_hz,
        };
        // SAFETY: it lives as long as the call.
        unsafe { self.processor.setupProcessing(&raw mut setup) == kResultOk }
    }

    /// Activates or deactivates it.
    pub fn set_active(&mut self, active: bool) -> bool {
        let (during, after) = if active {
            (Phase::Activating, Phase::Active)
        } else {
            (Phase::Deactivating, Phase::Inactive)
        };
        self.rules.enter(during);
        // SAFETY: a number only.
        let is_done = unsafe { self.component.setActive(active.into()) == kResultOk };
        self.rules.enter(after);
        is_done
    }

    /// Makes it ready for blocks of at most `most_samples` in real time.
    pub fn activate(&mut self, sample_rate_hz: f64, most_samples: usize) -> bool {
        let setup = Setup {
            sample_rate_hz,
            most_samples,
            offline: false,
        };
        self.set_up(setup) && self.set_active(true) && self.set_processing(true)
    }

    /// Stops processing and deactivates.
    pub fn deactivate(&mut self) -> bool {
        self.set_processing(false) && self.set_active(false)
    }

    /// Starts or stops processing; to start resets.
    pub fn set_processing(&mut self, processing: bool) -> bool {
        // SAFETY: a number only.
        unsafe { self.processor.setProcessing(processing.into()) == kResultOk }
    }

    /// The latency that it reports now, in samples.
    pub fn latency_samples(&self) -> u32 {
        // SAFETY: a question without an argument.
        unsafe { self.processor.getLatencySamples() }
    }

    /// How long it sounds on after its input has fallen silent, in samples.
    pub fn tail_samples(&self) -> u32 {
        // SAFETY: a question without an argument.
        unsafe { self.processor.getTailSamples() }
    }

    /// The state, as a song keeps it; `None` where the plug-in refuses.
    pub fn save_state(&self) -> Option<Vec<u8>> {
        let stream = ComWrapper::new(Stream::new(&[], &self.rules));
        let given = stream.as_com_ref::<IBStream>()?;
        // SAFETY: the stream lives as long as the call.
        let saved = unsafe { self.component.getState(given.as_ptr()) == kResultOk };
        saved.then(|| stream.bytes())
    }

    /// Hands a state over; whether the plug-in took it.
    pub fn load_state(&mut self, bytes: &[u8]) -> bool {
        let stream = ComWrapper::new(Stream::new(bytes, &self.rules));
        // SAFETY: the stream lives as long as the call.
        stream
            .as_com_ref::<IBStream>()
            .is_some_and(|given| unsafe { self.component.setState(given.as_ptr()) == kResultOk })
    }
}
