//! One pass of sound through a plug-in.

use std::panic;
use std::thread;

use clack_host::plugin::PluginInstanceError;
use clack_host::process::{PluginAudioConfiguration, PluginAudioProcessor};
use clack_host::utils::ClapId;

use super::blocks::Blocks;
use super::handlers::{Handlers, Requests};
use super::{HostError, Plugin, Port};

/// Restarts in a row that a plug-in may ask for before it has given any new sound.
pub(super) const FRUITLESS_RESTARTS: usize = 8;

/// A change of one parameter at one input sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Event {
    /// The input sample with which it is sent.
    pub sample: usize,
    /// The parameter.
    pub parameter: ClapId,
    /// What changes.
    pub change: Change,
}

/// What an event changes, in CLAP's scale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    /// The value itself.
    Value(f64),
    /// An offset to the value that is not saved.
    Modulation(f64),
}

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
    /// Changes on the way, in order of their sample.
    pub events: &'a [Event],
    /// Where the output lies in time.
    pub timing: Timing,
}

impl<'a> Render<'a> {
    /// `voice` alone at `sample_rate_hz`, in blocks of 512 samples, in step with the input.
    #[must_use]
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
    #[must_use]
    pub fn length(&self) -> usize {
        self.voice.first().map_or(0, Vec::len)
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
    fn frames(&self) -> usize {
        self.audio.first().map_or(0, Vec::len)
    }
}

/// Tells how many output samples stand; called on the audio thread.
pub type Progress<'a> = &'a mut (dyn FnMut(usize) + Send);

impl Plugin {
    /// Plays `job` through the plug-in, from its current settings, after a reset. Where the plug-in asks for a
    /// restart it is restarted, and plays the block in which it asked once more.
    ///
    /// # Errors
    ///
    /// [`HostError::Channels`] and [`HostError::Ragged`] where the sound does not fit the ports,
    /// [`HostError::BlockSize`], [`HostError::EndlessRestart`], and [`HostError::Plugin`] where the plug-in fails.
    pub fn render(&mut self, job: &Render, progress: Progress) -> Result<Rendering, HostError> {
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
            let frames = rendering.frames();
            if self.play_until_restart(job, &inputs, &mut rendering, progress)? {
                return Ok(rendering);
            }
            rendering.restarts += 1;
            fruitless = if rendering.frames() > frames {
                0
            } else {
                fruitless + 1
            };
            if fruitless > FRUITLESS_RESTARTS {
                return Err(HostError::EndlessRestart);
            }
        }
    }

    /// True at the end of the sound, false where the plug-in wants a restart first.
    fn play_until_restart(
        &mut self,
        job: &Render,
        inputs: &[Port],
        rendering: &mut Rendering,
        progress: Progress,
    ) -> Result<bool, HostError> {
        let mut processor = PluginAudioProcessor::from(self.activate(job)?);
        rendering.latency_samples = self.latency_samples()?;
        let mut span = Span::new(job, inputs, rendering);
        let outcome = loop {
            let requests = self.requests();
            let stretch = on_audio_thread(|| span.play(&mut processor, requests, progress));
            let restart = self.serve_requests();
            match stretch {
                Ok(true) => break Ok(true),
                Ok(false) if restart => {
                    span.take_back_last_block();
                    break Ok(false);
                }
                Ok(false) => {}
                Err(error) => break Err(error.into()),
            }
        };
        self.deactivate(on_audio_thread(|| processor.into_stopped()));
        outcome
    }
}

/// The configuration with which a plug-in is made ready for `job`.
pub(super) fn configuration(job: &Render) -> PluginAudioConfiguration {
    PluginAudioConfiguration {
        sample_rate: job.sample_rate_hz,
        min_frames_count: 1,
        max_frames_count: job.blocks.iter().max().map_or(1, |&samples| samples as u32),
    }
}

fn check(job: &Render, inputs: &[Port]) -> Result<(), HostError> {
    if job.blocks.is_empty()
        || job
            .blocks
            .iter()
            .any(|&samples| samples == 0 || u32::try_from(samples).is_err())
    {
        return Err(HostError::BlockSize);
    }
    let taken = |index: usize| inputs.get(index).map_or(0, |port| port.channels);
    check_port("voice", job.voice, taken(0))?;
    if job.reference.is_empty() {
        return Ok(());
    }
    check_port("reference", job.reference, taken(1))
}

fn check_port(port: &'static str, sound: &[Vec<f32>], expected: usize) -> Result<(), HostError> {
    if sound.len() != expected {
        let found = sound.len();
        return Err(HostError::Channels {
            port,
            expected,
            found,
        });
    }
    if sound.iter().any(|channel| channel.len() != sound[0].len()) {
        return Err(HostError::Ragged { port });
    }
    Ok(())
}

/// The part of a pass between two restarts.
struct Span<'a, 'job> {
    job: &'a Render<'job>,
    blocks: Blocks,
    rendering: &'a mut Rendering,
    /// Where the next block starts in the input.
    position: usize,
    /// Output samples to drop before the first one that counts.
    late: usize,
    turn: usize,
    /// How many output samples stood before the last block.
    frames_before: usize,
}

impl<'a, 'job> Span<'a, 'job> {
    fn new(job: &'a Render<'job>, inputs: &[Port], rendering: &'a mut Rendering) -> Self {
        Self {
            job,
            blocks: Blocks::new(inputs, rendering.audio.len()),
            position: rendering.frames(),
            late: match job.timing {
                Timing::Compensated => rendering.latency_samples,
                Timing::AsProcessed => 0,
            },
            frames_before: rendering.frames(),
            rendering,
            turn: 0,
        }
    }

    /// Plays blocks until the sound ends (true) or the main thread is wanted (false). Silence follows the input for
    /// as long as the output is late.
    fn play(
        &mut self,
        processor: &mut PluginAudioProcessor<Handlers>,
        requests: &Requests,
        progress: Progress,
    ) -> Result<bool, PluginInstanceError> {
        let processor = processor
            .ensure_processing_started()
            .map_err(|_| PluginInstanceError::StartProcessingFailed)?;
        loop {
            let missing = self.job.length() - self.rendering.frames();
            if missing == 0 {
                return Ok(true);
            }
            let size = self.job.blocks[self.turn % self.job.blocks.len()].min(missing + self.late);
            let output = self.blocks.process(processor, self.job, self.position, size)?;
            let late = self.late.min(size);
            self.frames_before = self.rendering.frames();
            for (kept, channel) in self.rendering.audio.iter_mut().zip(output) {
                kept.extend_from_slice(&channel[late..]);
            }
            self.position += size;
            self.late -= late;
            self.turn += 1;
            progress(self.rendering.frames());
            if requests.any() {
                return Ok(false);
            }
        }
    }

    /// The block in which a plug-in asks for a restart may hold two latencies: it is played again after the restart.
    fn take_back_last_block(&mut self) {
        for channel in &mut self.rendering.audio {
            channel.truncate(self.frames_before);
        }
    }
}

/// Runs `work` on a thread that is not the plug-in's main thread, and waits for it.
fn on_audio_thread<T: Send>(work: impl FnOnce() -> T + Send) -> T {
    thread::scope(|scope| match scope.spawn(work).join() {
        Ok(done) => done,
        Err(cause) => panic::resume_unwind(cause),
    })
}
