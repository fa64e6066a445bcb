//! Blocks in VST3's own structures.

use std::ptr;
use std::thread;

use vst3::ComWrapper;
use vst3::Steinberg::Vst::{
    AudioBusBuffers, AudioBusBuffers__type0, IAudioProcessor, IAudioProcessorTrait, IParameterChanges,
    ProcessContext, ProcessContext_::StatesAndFlags_, ProcessData, ProcessModes_, SymbolicSampleSizes_,
};
use vst3::Steinberg::kResultOk;

use super::Vst3Insert;
use super::changes::Changes;
use crate::hosts::clap::{Answer, Bus, Handed, Inside, Place};

/// An audio thread's hold on the insert.
struct OnAudioThread<'a>(&'a vst3::ComPtr<IAudioProcessor>);

// SAFETY: VST3 has an insert be processed on another thread than its main thread.
unsafe impl Send for OnAudioThread<'_> {}

impl Vst3Insert {
    /// Hands a block over, on a thread that is not the main thread.
    pub fn process(&mut self, block: &mut Handed) -> Answer {
        self.process_all(std::slice::from_mut(block))[0]
    }

    /// Hands blocks over, one after the other.
    pub fn process_all(&mut self, blocks: &mut [Handed]) -> Vec<Answer> {
        let processor = OnAudioThread(&self.processor);
        let work = move || {
            let processor = processor;
            // SAFETY: the insert is ready for sound, says the caller's test; this is the only thread that processes.
            let answer = |block: &mut Handed| unsafe { process(processor.0, block) };
            blocks.iter_mut().map(answer).collect()
        };
        thread::scope(|scope| match scope.spawn(work).join() {
            Ok(answers) => answers,
            Err(cause) => std::panic::resume_unwind(cause),
        })
    }
}

/// Hands one block over.
///
/// # Safety
///
/// No other thread processes.
unsafe fn process(processor: &vst3::ComPtr<IAudioProcessor>, block: &mut Handed) -> Answer {
    let mut input_lists: Vec<_> = block.inputs.iter_mut().map(Bus::pointers).collect();
    let mut output_lists: Vec<_> = block.outputs.iter_mut().map(Bus::pointers).collect();
    if block.in_place {
        output_lists[0].clone_from(&input_lists[0]);
    }
    let bus = |list: &mut Option<Vec<*mut f32>>, bus: &Bus| AudioBusBuffers {
        numChannels: list.as_ref().map_or(0, |list| list.len() as i32),
        silenceFlags: bus.constant_mask,
        __field0: AudioBusBuffers__type0 {
            channelBuffers32: list.as_mut().map_or(ptr::null_mut(), |list| list.as_mut_ptr()),
        },
    };
    let mut inputs: Vec<_> = input_lists
        .iter_mut()
        .zip(&block.inputs)
        .map(|(list, of)| bus(list, of))
        .collect();
    let mut outputs: Vec<_> = output_lists
        .iter_mut()
        .zip(&block.outputs)
        .map(|(list, of)| bus(list, of))
        .collect();
    let changes = ComWrapper::new(Changes::new(&block.told));
    let mut context = block.place.map(context);
    let mut data = ProcessData {
        processMode: ProcessModes_::kRealtime as i32,
        symbolicSampleSize: SymbolicSampleSizes_::kSample32 as i32,
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
    let inside = Inside::enter();
    // SAFETY: every list is as long as it says and lives until the end of this function.
    let result = unsafe { processor.process(&raw mut data) };
    inside.leave();
    for (bus, output) in block.outputs.iter_mut().zip(&outputs) {
        bus.constant_mask = output.silenceFlags;
    }
    if result == kResultOk {
        Answer::Continue
    } else {
        Answer::Refused
    }
}

/// Hosts without buses have no list of them either.
fn pointer(buses: &mut [AudioBusBuffers]) -> *mut AudioBusBuffers {
    if buses.is_empty() {
        ptr::null_mut()
    } else {
        buses.as_mut_ptr()
    }
}

fn context(place: Place) -> ProcessContext {
    let flag = |flag: u32, is_set: bool| if is_set { flag } else { 0 };
    let beats = |seconds: f64| seconds * place.tempo / 60.0;
    let (start, end) = place.looping.unwrap_or_default();
    // SAFETY: numbers, all of which may be zero.
    let mut context: ProcessContext = unsafe { std::mem::zeroed() };
    context.state = (StatesAndFlags_::kTempoValid | StatesAndFlags_::kProjectTimeMusicValid) as u32
        | flag(StatesAndFlags_::kPlaying as u32, place.playing)
        | flag(
            (StatesAndFlags_::kCycleActive | StatesAndFlags_::kCycleValid) as u32,
            place.looping.is_some(),
        );
    context.sampleRate = 48_000.0;
    context.projectTimeSamples = (place.seconds * context.sampleRate) as i64;
    context.projectTimeMusic = beats(place.seconds);
    context.tempo = place.tempo;
    context.cycleStartMusic = beats(start);
    context.cycleEndMusic = beats(end);
    context
}
