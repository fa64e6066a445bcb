//! Blocks in VST3's own structures.

use std::ptr;
use std::sync::Arc;
use std::thread;

use vst3::ComWrapper;
use vst3::Steinberg::Vst::{
    AudioBusBuffers, AudioBusBuffers__type0, IAudioProcessor, IAudioProcessorTrait, IParameterChanges,
    ProcessContext, ProcessContext_::StatesAndFlags_, ProcessData, ProcessModes_, SymbolicSampleSizes_,
};
use vst3::Steinberg::kResultOk;

use super::Vst3Insert;
use super::changes::Changes;
use crate::block::{List, Lists};
use crate::rules::HostRules;
use crate::{Bus, HostBlock, ProcessCall, ProcessStatus, Transport};

/// An audio thread's hold on the insert.
struct OnAudioThread<'a>(&'a vst3::ComPtr<IAudioProcessor>);

// SAFETY: VST3 has an insert be processed on another thread than its UI thread.
unsafe impl Send for OnAudioThread<'_> {}

impl Vst3Insert {
    /// Hands a block over, on a thread that is not the UI thread.
    pub fn process(&mut self, block: &mut HostBlock) -> ProcessStatus {
        self.process_all(std::slice::from_mut(block))[0]
    }

    /// Hands blocks over, one after the other.
    pub fn process_all(&mut self, blocks: &mut [HostBlock]) -> Vec<ProcessStatus> {
        let processor = OnAudioThread(&self.processor);
        let rules = &self.rules;
        rules.on_audio_thread(move || {
            let processor = processor;
            // SAFETY: the caller has activated the insert; this is the only thread that processes.
            let run = |block: &mut HostBlock| unsafe { process(processor.0, rules, block) };
            blocks.iter_mut().map(run).collect()
        })
    }

    /// Hands blocks over while the UI thread does `work` again and again, until the sound ends.
    pub fn process_while(
        &mut self,
        blocks: &mut [HostBlock],
        mut work: impl FnMut(&mut Self),
    ) -> Vec<ProcessStatus> {
        let processor = self.processor.clone();
        let (processor, rules) = (OnAudioThread(&processor), Arc::clone(&self.rules));
        thread::scope(|scope| {
            let audio = scope.spawn(move || {
                let processor = processor;
                rules.as_audio_thread(|| {
                    // SAFETY: the caller has activated the insert; this is the only thread that processes.
                    let run = |block: &mut HostBlock| unsafe { process(processor.0, &rules, block) };
                    blocks.iter_mut().map(run).collect()
                })
            });
            while !audio.is_finished() {
                work(self);
            }
            audio
                .join()
                .unwrap_or_else(|cause| std::panic::resume_unwind(cause))
        })
    }
}

/// Hands one block over.
///
/// # Safety
///
/// The insert is active, and no other thread processes.
unsafe fn process(
    processor: &vst3::ComPtr<IAudioProcessor>,
    rules: &Arc<HostRules>,
    block: &mut HostBlock,
) -> ProcessStatus {
    let mut lists = Lists::new(block);
    let mut inputs = buses(&mut lists.inputs, &block.inputs);
    let mut outputs = buses(&mut lists.outputs, &block.outputs);
    let changes = ComWrapper::new(Changes::new(&block.events, rules));
    let mut context = block.transport.map(context);
    let mut data = ProcessData {
        processMode: ProcessModes_::kRealtime as i32,
        symbolicSampleSize: if block.wide {
            SymbolicSampleSizes_::kSample64
        } else {
            SymbolicSampleSizes_::kSample32
        } as i32,
        numSamples: block.samples as i32,
        numInputs: inputs.len() as i32,
        numOutputs: outputs.len() as i32,
        inputs: pointer(&mut inputs),
        outputs: pointer(&mut outputs),
        inputParameterChanges: changes
            .as_com_ref::<IParameterChanges>()
            .map_or(ptr::null_mut(), |changes| changes.as_ptr()),
        outputParameterChanges: ptr::null_mut(),
        inputEvents: ptr::null_mut(),
        outputEvents: ptr::null_mut(),
        processContext: context.as_mut().map_or(ptr::null_mut(), ptr::from_mut),
    };
    let call = ProcessCall::enter();
    // SAFETY: every list is as long as it says and lives until the end of this function.
    let result = unsafe { processor.process(&raw mut data) };
    call.leave();
    lists.write_back(block, outputs.iter().map(|output| output.silenceFlags));
    if result == kResultOk {
        ProcessStatus::Continue
    } else {
        ProcessStatus::Refused
    }
}

fn buses(lists: &mut [List], buses: &[Bus]) -> Vec<AudioBusBuffers> {
    let bus = |(list, bus): (&mut List, &Bus)| AudioBusBuffers {
        numChannels: list.as_ref().map_or(0, |list| list.len() as i32),
        silenceFlags: bus.constant_mask,
        __field0: AudioBusBuffers__type0 {
            channelBuffers32: list.as_mut().map_or(ptr::null_mut(), |list| list.as_mut_ptr()),
        },
    };
    lists.iter_mut().zip(buses).map(bus).collect()
}

/// Hosts without buses have no list of them either.
fn pointer(buses: &mut [AudioBusBuffers]) -> *mut AudioBusBuffers {
    if buses.is_empty() {
        ptr::null_mut()
    } else {
        buses.as_mut_ptr()
    }
}

fn context(transport: Transport) -> ProcessContext {
    let flag = |flag: u32, is_set: bool| if is_set { flag } else { 0 };
    let beats = |seconds: f64| seconds * transport.tempo_bpm / 60.0;
    let (start, end) = transport.loop_s.unwrap_or_default();
    // SAFETY: numbers, all of which may be zero.
    let mut context: ProcessContext = unsafe { std::mem::zeroed() };
    context.state = (StatesAndFlags_::kTempoValid | StatesAndFlags_::kProjectTimeMusicValid) as u32
        | flag(StatesAndFlags_::kTimeSigValid as u32, transport.metre.is_some())
        | flag(StatesAndFlags_::kPlaying as u32, transport.playing)
        | flag(
            (StatesAndFlags_::kCycleActive | StatesAndFlags_::kCycleValid) as u32,
            transport.loop_s.is_some(),
        );
    context.sampleRate = 48_000.0;
    context.projectTimeSamples = (transport.position_s * context.sampleRate).round() as i64;
    context.projectTimeMusic = beats(transport.position_s);
    context.tempo = transport.tempo_bpm;
    let (numerator, denominator) = transport.metre.unwrap_or((4, 4));
    (context.timeSigNumerator, context.timeSigDenominator) = (numerator.into(), denominator.into());
    context.cycleStartMusic = beats(start);
    context.cycleEndMusic = beats(end);
    context
}
