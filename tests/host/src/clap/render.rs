//! One pass of a whole sound through a plug-in.

use anyhow::{Result, bail, ensure};
use clack_host::process::PluginAudioProcessor;

use super::handlers::{Handlers, Requests};
use super::process::process;
use super::{Plugin, Port};
use crate::rules::HostRules;
use crate::{Bus, HostBlock, ParamEvent};

/// Restarts in a row that a plug-in may ask for before it has given any new sound.
const FRUITLESS_RESTARTS: usize = 8;
const ENDLESS_RESTART: &str = "the plug-in asks for a restart without end";

/// Where the output lies in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Timing {
    /// In step with the input: the latency that the plug-in reports is taken out.
    #[default]
    Compensated,
    /// As it leaves the plug-in, late by the latency.
    AsProcessed,
}

/// What is to be played through a plug-in.
#[derive(Debug, Clone, Copy)]
pub struct Render<'a> {
    /// Sample rate in Hz.
    pub sample_rate_hz: f64,
    /// The sound for the main input, one vector a channel, all of one length.
    pub voice: &'a [Vec<f32>],
    /// The sound for the side-chain, one vector a channel; empty is silence. Where it is shorter than the voice,
    /// silence follows.
    pub reference: &'a [Vec<f32>],
    /// Block sizes in samples, taken in turn, again and again.
    pub blocks: &'a [usize],
    /// Events in order of their sample, which counts from the start of the voice.
    pub events: &'a [ParamEvent],
    /// Where the output lies in time.
    pub timing: Timing,
}

impl<'a> Render<'a> {
    /// `voice` alone at `sample_rate_hz`, in blocks of 512 samples, in step with the input.
    pub fn new(sample_rate_hz: f64, voice: &'a [Vec<f32>]) -> Self {
        Self {
            sample_rate_hz,
            voice,
            reference: &[],
            blocks: &[512],
            events: &[],
            timing: Timing::Compensated,
        }
    }

    /// Samples of each channel.
    pub fn length(&self) -> usize {
        self.voice.first().map_or(0, Vec::len)
    }

    /// The `samples` samples from `start` on as a block for `inputs`, every one of which is fed, since a plug-in may read a
    /// side-chain that its host leaves out. Silence follows the sounds.
    pub(super) fn block(
        &self,
        inputs: &[Port],
        output_channels: usize,
        start: usize,
        samples: usize,
    ) -> HostBlock {
        let sounds = [self.voice, self.reference];
        let bus = |(index, port): (usize, &Port)| {
            let sound = sounds.get(index).copied().unwrap_or_default();
            let channel = |index: usize| {
                let source = sound.get(index).map_or(&[][..], Vec::as_slice);
                let end = (start + samples).min(source.len());
                let mut channel = source[start.min(end)..end].to_vec();
                channel.resize(samples, 0.0);
                Some(channel)
            };
            Bus::of(Some((0..port.channels).map(channel).collect()))
        };
        let first = self
            .events
            .partition_point(|event| (event.sample as usize) < start);
        let due = self.events[first..].iter();
        let due = due.take_while(|event| (event.sample as usize) < start + samples);
        HostBlock {
            samples,
            inputs: inputs.iter().enumerate().map(bus).collect(),
            outputs: vec![Bus::silent(output_channels, samples)],
            ..HostBlock::without_sound(
                due.map(|event| ParamEvent {
                    sample: event.sample - start as u32,
                    ..*event
                })
                .collect(),
            )
        }
    }
}

/// What came out.
#[derive(Debug, Clone, PartialEq)]
pub struct Rendering {
    /// One vector a channel, each as long as the voice.
    pub audio: Vec<Vec<f32>>,
    /// The latency that the plug-in reported last, in samples.
    pub latency_samples: usize,
    /// How often the plug-in asked to be restarted on the way, and was.
    pub restarts: usize,
}

impl Rendering {
    fn length(&self) -> usize {
        self.audio.first().map_or(0, Vec::len)
    }
}

/// Gets the number of output samples that are done; called on the audio thread.
pub type Progress<'a> = &'a mut (dyn FnMut(usize) + Send);

impl Plugin {
    /// Plays `job` through the plug-in, from its current settings, after a reset. Where the plug-in asks for a restart it is
    /// restarted, and plays the block in which it asked once more. Fails where the sound does not fit the ports, or where the
    /// plug-in asks for a restart without end.
    pub fn render(&mut self, job: &Render, progress: Progress) -> Result<Rendering> {
        let inputs = self.inputs()?;
        check(job, &inputs)?;
        let channels = self.outputs()?.first().map_or(0, |port| port.channels);
        let mut rendering = Rendering {
            audio: vec![Vec::with_capacity(job.length()); channels],
            latency_samples: 0,
            restarts: 0,
        };
        let mut fruitless = 0;
        loop {
            let before = rendering.length();
            let outcome = self.play_until_restart(job, &inputs, &mut rendering, progress);
            self.deactivate();
            if outcome? {
                return Ok(rendering);
            }
            rendering.restarts += 1;
            fruitless = if rendering.length() > before {
                0
            } else {
                fruitless + 1
            };
            ensure!(fruitless <= FRUITLESS_RESTARTS, ENDLESS_RESTART);
        }
    }

    /// True at the end of the sound, false where the plug-in wants a restart first.
    fn play_until_restart(
        &mut self,
        job: &Render,
        inputs: &[Port],
        rendering: &mut Rendering,
        progress: Progress,
    ) -> Result<bool> {
        self.activate_settled(job.sample_rate_hz, job.blocks.iter().max().copied().unwrap_or(1))?;
        rendering.latency_samples = self.latency_samples()?;
        let mut stretch = Stretch {
            job,
            inputs,
            position: rendering.length(),
            late: match job.timing {
                Timing::Compensated => rendering.latency_samples,
                Timing::AsProcessed => 0,
            },
            length_before: rendering.length(),
            rendering,
            turn: 0,
        };
        loop {
            let requests = std::sync::Arc::clone(&self.requests);
            let play =
                |processor: &mut _, rules: &HostRules| stretch.play(processor, rules, &requests, progress);
            let at_end = self.on_audio_thread(play)??;
            let restart = self.serve_requests();
            if at_end {
                return Ok(true);
            }
            if restart {
                stretch.take_back_last_block();
                return Ok(false);
            }
        }
    }

    /// Activates. The plug-in may ask for a restart while that happens, for instance because its latency is another one now:
    /// then it is activated anew, before any sound.
    pub(super) fn activate_settled(&mut self, sample_rate_hz: f64, most_samples: usize) -> Result<()> {
        for _ in 0..FRUITLESS_RESTARTS {
            self.activate(sample_rate_hz, most_samples)?;
            if !self.serve_requests() {
                return Ok(());
            }
            self.deactivate();
        }
        bail!(ENDLESS_RESTART)
    }
}

fn check(job: &Render, inputs: &[Port]) -> Result<()> {
    let is_no_size = |&samples: &usize| samples == 0 || u32::try_from(samples).is_err();
    let is_none = job.blocks.is_empty() || job.blocks.iter().any(is_no_size);
    ensure!(!is_none, "a block size must be 1 to {} samples", u32::MAX);
    let taken = |index: usize| inputs.get(index).map_or(0, |port| port.channels);
    check_port("voice", job.voice, taken(0))?;
    if job.reference.is_empty() {
        return Ok(());
    }
    check_port("reference", job.reference, taken(1))
}

fn check_port(port: &'static str, sound: &[Vec<f32>], expected: usize) -> Result<()> {
    let found = sound.len();
    ensure!(
        found == expected,
        "the {port} has {found} channels where the plug-in takes {expected}"
    );
    let is_even = sound.iter().all(|channel| channel.len() == sound[0].len());
    ensure!(is_even, "the channels of the {port} differ in length");
    Ok(())
}

/// The part of a pass between two restarts.
struct Stretch<'a, 'job> {
    job: &'a Render<'job>,
    inputs: &'a [Port],
    rendering: &'a mut Rendering,
    /// Where the next block starts in the input.
    position: usize,
    /// Output samples to drop before the first one that counts.
    late: usize,
    turn: usize,
    /// How many output samples there were before the last block.
    length_before: usize,
}

impl Stretch<'_, '_> {
    /// Plays blocks until the sound ends (true) or the main thread is wanted (false). Silence follows the input for as
    /// long as the output is late.
    fn play(
        &mut self,
        processor: &mut PluginAudioProcessor<Handlers>,
        rules: &HostRules,
        requests: &Requests,
        progress: Progress,
    ) -> Result<bool> {
        loop {
            let missing = self.job.length() - self.rendering.length();
            if missing == 0 {
                return Ok(true);
            }
            let samples = self.job.blocks[self.turn % self.job.blocks.len()].min(missing + self.late);
            let channels = self.rendering.audio.len();
            let mut block = self.job.block(self.inputs, channels, self.position, samples);
            process(processor, rules, &mut block)?;
            let late = self.late.min(samples);
            self.length_before = self.rendering.length();
            for (kept, channel) in self.rendering.audio.iter_mut().zip(block.output()) {
                kept.extend_from_slice(&channel[late..]);
            }
            self.position += samples;
            self.late -= late;
            self.turn += 1;
            progress(self.rendering.length());
            if requests.any() {
                return Ok(false);
            }
        }
    }

    /// The block in which a plug-in asks for a restart may hold two latencies: it is played again after the restart.
    fn take_back_last_block(&mut self) {
        for channel in &mut self.rendering.audio {
            channel.truncate(self.length_before);
        }
    }
}
