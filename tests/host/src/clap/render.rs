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
    /// The sound for the main input, one vector a channel, all of one length. A single one goes to every channel.
    pub voice: &'a [Vec<f32>],
    /// The sound for the side-chain, in the same way; empty is silence. Where it is shorter than the voice, silence follows.
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
                let source = if sound.len() == 1 {
                    sound.first()
                } else {
                    sound.get(index)
                };
                let source = source.map_or(&[][..], Vec::as_slice);
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

/// Gets the number of output samples that are done; called on the audio thread.
pub type Progress<'a> = &'a mut (dyn FnMut(usize) + Send);
/// Gets the output as it comes, one vector a channel; called on the audio thread.
pub type Sink<'a> = &'a mut (dyn FnMut(&[Vec<f32>]) + Send);

impl Plugin {
    /// Plays `job` through the plug-in as [`Plugin::render_into`], and keeps all that comes out.
    pub fn render(&mut self, job: &Render, progress: Progress) -> Result<Rendering> {
        let channels = self.outputs()?.first().map_or(0, |port| port.channels);
        let mut audio = vec![Vec::with_capacity(job.length()); channels];
        let mut keep = |block: &[Vec<f32>]| {
            for (kept, channel) in audio.iter_mut().zip(block) {
                kept.extend_from_slice(channel);
            }
            progress(audio.first().map_or(0, Vec::len));
        };
        let (latency_samples, restarts) = self.render_into(job, &mut keep)?;
        Ok(Rendering {
            audio,
            latency_samples,
            restarts,
        })
    }

    /// Plays `job` through the plug-in, from its current settings, after a reset, and hands on what comes out. Where the
    /// plug-in asks for a restart it is restarted, and plays the block in which it asked once more. Gives the latency that it
    /// reported last, in samples, and the number of restarts. Fails where the sound does not fit the ports, or where the
    /// plug-in asks for a restart without end.
    pub fn render_into(&mut self, job: &Render, sink: Sink) -> Result<(usize, usize)> {
        let inputs = self.inputs()?;
        check(job, &inputs)?;
        let channels = self.outputs()?.first().map_or(0, |port| port.channels);
        let mut pass = Pass {
            job,
            inputs,
            channels,
            sink,
            done: 0,
            latency_samples: 0,
        };
        let (mut restarts, mut fruitless) = (0, 0);
        loop {
            let before = pass.done;
            let outcome = self.play_until_restart(&mut pass);
            self.deactivate();
            if outcome? {
                return Ok((pass.latency_samples, restarts));
            }
            restarts += 1;
            fruitless = if pass.done > before { 0 } else { fruitless + 1 };
            ensure!(fruitless <= FRUITLESS_RESTARTS, ENDLESS_RESTART);
        }
    }

    /// True at the end of the sound, false where the plug-in wants a restart first.
    fn play_until_restart(&mut self, pass: &mut Pass) -> Result<bool> {
        let job = pass.job;
        self.activate_settled(job.sample_rate_hz, job.blocks.iter().max().copied().unwrap_or(1))?;
        pass.latency_samples = self.latency_samples()?;
        let mut stretch = Stretch {
            position: pass.done,
            late: match job.timing {
                Timing::Compensated => pass.latency_samples,
                Timing::AsProcessed => 0,
            },
            pass,
            last: Vec::new(),
            turn: 0,
        };
        loop {
            let requests = std::sync::Arc::clone(&self.requests);
            let play = |processor: &mut _, rules: &HostRules| stretch.play(processor, rules, &requests);
            let at_end = self.on_audio_thread(play)??;
            // The block in which a plug-in asks for a restart may hold two latencies: it is played again after the restart.
            let restart = self.serve_requests();
            if at_end || restart {
                return Ok(at_end);
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
        found == expected || found == 1,
        "the {port} has {found} channels where the plug-in takes {expected}"
    );
    let is_even = sound.iter().all(|channel| channel.len() == sound[0].len());
    ensure!(is_even, "the channels of the {port} differ in length");
    Ok(())
}

/// A pass of a sound.
struct Pass<'a, 'job> {
    job: &'a Render<'job>,
    inputs: Vec<Port>,
    /// Channels of the output.
    channels: usize,
    sink: Sink<'a>,
    /// Samples that were handed on.
    done: usize,
    latency_samples: usize,
}

/// The part of a pass between two restarts.
struct Stretch<'a, 'pass, 'job> {
    pass: &'a mut Pass<'pass, 'job>,
    /// Where the next block starts in the input.
    position: usize,
    /// Output samples to drop before the first one that counts.
    late: usize,
    turn: usize,
    /// What came out of the last block, not handed on yet.
    last: Vec<Vec<f32>>,
}

impl Stretch<'_, '_, '_> {
    /// Plays blocks until the sound ends (true) or the main thread is wanted (false). Silence follows the input for as
    /// long as the output is late.
    fn play(
        &mut self,
        processor: &mut PluginAudioProcessor<Handlers>,
        rules: &HostRules,
        requests: &Requests,
    ) -> Result<bool> {
        loop {
            self.hand_on();
            let job = self.pass.job;
            let missing = job.length() - self.pass.done;
            if missing == 0 {
                return Ok(true);
            }
            let samples = job.blocks[self.turn % job.blocks.len()].min(missing + self.late);
            let mut block = job.block(&self.pass.inputs, self.pass.channels, self.position, samples);
            process(processor, rules, &mut block)?;
            let late = self.late.min(samples);
            self.last = block.output();
            self.last
                .iter_mut()
                .for_each(|channel| drop(channel.drain(..late)));
            self.position += samples;
            self.late -= late;
            self.turn += 1;
            if requests.any() {
                return Ok(false);
            }
        }
    }

    fn hand_on(&mut self) {
        let last = std::mem::take(&mut self.last);
        let samples = last.first().map_or(0, Vec::len);
        if samples > 0 {
            self.pass.done += samples;
            (self.pass.sink)(&last);
        }
    }
}
