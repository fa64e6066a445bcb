//! One block of sound and its events, in the shape in which a plug-in takes them.

use std::ops::Range;

use clack_host::events::Pckn;
use clack_host::events::event_types::{ParamModEvent, ParamValueEvent};
use clack_host::events::io::EventBuffer;
use clack_host::plugin::PluginInstanceError;
use clack_host::process::StartedPluginAudioProcessor;
use clack_host::process::audio_buffers::{AudioPortBuffer, AudioPortBufferType, AudioPorts, InputChannel};

use super::handlers::Handlers;
use super::{Change, Port, Render};

/// The buffers of a block, used again for every block.
pub struct Blocks {
    /// Ports, their channels, their samples.
    inputs: Vec<Vec<Vec<f32>>>,
    /// The main output's channels, their samples.
    output: Vec<Vec<f32>>,
    input_ports: AudioPorts,
    output_ports: AudioPorts,
    events: EventBuffer,
    answers: EventBuffer,
}

impl Blocks {
    /// For a plug-in with these input ports and one output port. Every input port is always fed, for a plug-in may
    /// read a side-chain that its host leaves out.
    pub fn new(inputs: &[Port], output_channels: usize) -> Self {
        let channels = inputs.iter().map(|port| port.channels).sum();
        Self {
            inputs: inputs
                .iter()
                .map(|port| vec![Vec::new(); port.channels])
                .collect(),
            output: vec![Vec::new(); output_channels],
            input_ports: AudioPorts::with_capacity(channels, inputs.len()),
            output_ports: AudioPorts::with_capacity(output_channels, 1),
            events: EventBuffer::new(),
            answers: EventBuffer::new(),
        }
    }

    /// Processes the `size` samples of `job` that start at input sample `position`.
    pub fn process(
        &mut self,
        processor: &mut StartedPluginAudioProcessor<Handlers>,
        job: &Render,
        position: usize,
        size: usize,
    ) -> Result<&[Vec<f32>], PluginInstanceError> {
        self.fill(job, position..position + size);
        self.collect_events(job, position..position + size);
        let inputs = self
            .input_ports
            .with_input_buffers(self.inputs.iter_mut().map(|port| AudioPortBuffer {
                latency: 0,
                channels: AudioPortBufferType::f32_input_only(port.iter_mut().map(InputChannel::variable)),
            }));
        let mut outputs = self.output_ports.with_output_buffers([AudioPortBuffer {
            latency: 0,
            channels: AudioPortBufferType::f32_output_only(self.output.iter_mut().map(Vec::as_mut_slice)),
        }]);
        processor.process(
            &inputs,
            &mut outputs,
            &self.events.as_input(),
            &mut self.answers.as_output(),
            Some(position as u64),
            None,
        )?;
        Ok(&self.output)
    }

    /// What the plug-in told with the last block.
    pub fn answers(&self) -> &EventBuffer {
        &self.answers
    }

    fn fill(&mut self, job: &Render, samples: Range<usize>) {
        let sounds = [job.voice, job.reference];
        for (index, port) in self.inputs.iter_mut().enumerate() {
            let sound = sounds.get(index).copied().unwrap_or_default();
            for (index, channel) in port.iter_mut().enumerate() {
                let source = sound.get(index).map_or(&[][..], Vec::as_slice);
                let end = samples.end.min(source.len());
                channel.clear();
                channel.extend_from_slice(&source[samples.start.min(end)..end]);
                channel.resize(samples.len(), 0.0);
            }
        }
        for channel in &mut self.output {
            channel.clear();
            channel.resize(samples.len(), 0.0);
        }
    }

    fn collect_events(&mut self, job: &Render, samples: Range<usize>) {
        self.events.clear();
        self.answers.clear();
        let first = job.events.partition_point(|event| event.sample < samples.start);
        let due = job.events[first..]
            .iter()
            .take_while(|event| event.sample < samples.end);
        for event in due {
            let time = (event.sample - samples.start) as u32;
            let everywhere = Pckn::match_all();
            match event.change {
                Change::Value(value) => {
                    self.events
                        .push(&ParamValueEvent::new(time, event.parameter, everywhere, value));
                }
                Change::Modulation(amount) => {
                    self.events
                        .push(&ParamModEvent::new(time, event.parameter, everywhere, amount));
                }
            }
        }
    }
}
