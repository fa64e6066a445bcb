//! Sound that runs while a window is open, on a thread of its own and in step with the clock, as while a song plays.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use anyhow::Result;
use clack_extensions::params::PluginParams;
use clack_host::process::PluginAudioProcessor;

use super::events::exchange;
use super::handlers::{Handlers, Requests};
use super::process::process;
use super::{Edit, Plugin, Port, Render};
use crate::{EventKind, ParamEvent, lock};

/// Samples of a block: 10 ms at 48 kHz, as many sound cards have it.
const BLOCK: usize = 480;
/// How often a thread that has nothing to play looks for something to do.
const NAP: Duration = Duration::from_millis(5);
/// How often a sample is played while the song creeps: half of the time after which the editor reports no input.
const CREEP_INTERVAL: Duration = Duration::from_millis(300);
/// How much of the output is kept, blocks: half a second.
const KEPT_BLOCKS: usize = 50;

/// What is played, again and again.
#[derive(Debug, Clone)]
pub struct LiveSound {
    /// Sample rate in Hz.
    pub sample_rate_hz: f64,
    /// The sound for the main input, one vector a channel.
    pub voice: Arc<Vec<Vec<f32>>>,
    /// The sound for the side-chain, one vector a channel; empty is silence.
    pub reference: Arc<Vec<Vec<f32>>>,
    /// Playback speed, 1 being real time; infinite plays as fast as the plug-in processes.
    pub speed: f64,
}

impl LiveSound {
    /// The same sound, played as fast as the plug-in processes.
    #[must_use]
    pub fn fast(self) -> Self {
        Self {
            speed: f64::INFINITY,
            ..self
        }
    }
}

/// What the host tells of its song, with the position.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SongPlace {
    /// Where the sound begins, seconds of the song.
    pub start_s: f64,
    /// Beats a minute.
    pub tempo_bpm: f64,
    /// Beats in a bar, and which part of a whole note a beat is, where the host tells them.
    pub metre: Option<(u16, u16)>,
}

/// What is played.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
enum Transport {
    /// The plug-in is not asked to process at all.
    #[default]
    Rest,
    /// The plug-in processes silence, as in most hosts while nothing plays.
    Silence,
    /// The song plays: for so many samples more, or for ever.
    Song { left: Option<usize> },
    /// The song plays a single sample now and then: the plug-in has input, and its pictures stand still.
    Creep { crept: usize },
}

/// What the thread and its owner share. The thread stands in for a host's: it may lock.
#[derive(Default)]
struct Shared {
    stop: AtomicBool,
    /// Turns of the audio thread: blocks that were processed, and looks at the transport while it rests.
    turns: AtomicU64,
    transport: Mutex<Transport>,
    place: Mutex<Option<SongPlace>>,
    /// Sample of the sound that is played next, where that was changed.
    seek: Mutex<Option<usize>>,
    events: Mutex<Vec<(u32, EventKind)>>,
    edits: Mutex<Vec<Edit>>,
    /// What was heard last, one vector a channel.
    heard: Mutex<Vec<Vec<f32>>>,
}

type Ended = Result<PluginAudioProcessor<Handlers>>;

/// An insert that is processing.
pub struct Live {
    sound: LiveSound,
    shared: Arc<Shared>,
    thread: Option<JoinHandle<Ended>>,
}

impl Live {
    /// Activates `plugin` and starts its thread, at rest.
    pub fn start(plugin: &mut Plugin, sound: LiveSound) -> Result<Self> {
        let mut live = Self {
            sound,
            shared: Arc::default(),
            thread: None,
        };
        live.spawn(plugin)?;
        Ok(live)
    }

    /// Plays the song from its present position, for `samples` or for ever.
    pub fn play(&self, samples: Option<usize>) {
        *lock(&self.shared.transport) = Transport::Song { left: samples };
    }

    /// Tells the song's position with every block from now on, or none.
    pub fn tell(&self, place: Option<SongPlace>) {
        *lock(&self.shared.place) = place;
    }

    /// Plays on from a sample of the sound.
    pub fn seek(&self, sample: usize) {
        *lock(&self.shared.seek) = Some(sample);
    }

    /// Plays on so slowly that the pictures of a few seconds are alike, and blocks still arrive.
    pub fn creep(&self) {
        *lock(&self.shared.transport) = Transport::Creep { crept: 0 };
    }

    /// Ends creeping: plays what is left of `samples` since it began, so that what follows does not depend on how long it took.
    pub fn end_creep(&self, samples: usize) {
        let mut transport = lock(&self.shared.transport);
        if let Transport::Creep { crept } = *transport {
            let left = Some(samples.saturating_sub(crept));
            *transport = Transport::Song { left };
        }
    }

    /// Processes silence.
    pub fn silence(&self) {
        *lock(&self.shared.transport) = Transport::Silence;
    }

    /// Stops processing.
    pub fn rest(&self) {
        *lock(&self.shared.transport) = Transport::Rest;
    }

    /// Whether all that was to be played has been.
    pub fn is_at_rest(&self) -> bool {
        *lock(&self.shared.transport) == Transport::Rest
    }

    /// Turns that the audio thread has completed: blocks, or looks at the transport while it rests. What the plug-in had
    /// sent before a turn began has reached the host after it.
    pub fn turns(&self) -> u64 {
        self.shared.turns.load(Ordering::Acquire)
    }

    /// Sends an event with the next block, as automation does.
    pub fn send(&self, parameter: u32, kind: EventKind) {
        lock(&self.shared.events).push((parameter, kind));
    }

    /// What the plug-in has sent since the last call.
    pub fn take_edits(&self) -> Vec<Edit> {
        std::mem::take(&mut lock(&self.shared.edits))
    }

    /// The last half second of the output, one vector a channel.
    pub fn heard(&self) -> Vec<Vec<f32>> {
        lock(&self.shared.heard).clone()
    }

    /// Does what the plug-in asks of its main thread, a restart with it.
    pub fn serve(&mut self, plugin: &mut Plugin) -> Result<()> {
        if plugin.serve_requests() {
            self.join(plugin)?;
            self.spawn(plugin)?;
        }
        Ok(())
    }

    fn spawn(&mut self, plugin: &mut Plugin) -> Result<()> {
        plugin.activate_settled(self.sound.sample_rate_hz, BLOCK)?;
        let player = Player {
            inputs: plugin.inputs()?,
            channels: plugin.outputs()?.first().map_or(0, |port| port.channels),
            params: plugin.params()?,
            requests: Arc::clone(&plugin.requests),
            sound: self.sound.clone(),
            shared: Arc::clone(&self.shared),
        };
        self.shared.stop.store(false, Ordering::Release);
        self.thread = plugin.processor.take().map(|processor| {
            let rules = Arc::clone(&plugin.requests.rules);
            thread::spawn(move || rules.as_audio_thread(|| player.run(processor)))
        });
        Ok(())
    }

    fn join(&mut self, plugin: &mut Plugin) -> Result<()> {
        self.shared.stop.store(true, Ordering::Release);
        if let Some(thread) = self.thread.take() {
            let processor = thread
                .join()
                .unwrap_or_else(|cause| std::panic::resume_unwind(cause))?;
            plugin.processor = Some(processor);
            plugin.deactivate();
        }
        Ok(())
    }
}

impl Drop for Live {
    fn drop(&mut self) {
        self.shared.stop.store(true, Ordering::Release);
        if let Some(thread) = self.thread.take() {
            let _end = thread.join();
        }
    }
}

/// A block that is due.
struct Next {
    plays_song: bool,
    samples: usize,
}

/// The audio thread.
struct Player {
    inputs: Vec<Port>,
    channels: usize,
    params: PluginParams,
    requests: Arc<Requests>,
    sound: LiveSound,
    shared: Arc<Shared>,
}

impl Player {
    fn run(self, mut processor: PluginAudioProcessor<Handlers>) -> Ended {
        let block = Duration::from_secs_f64(BLOCK as f64 / self.sound.sample_rate_hz / self.sound.speed);
        let length = self.sound.voice.first().map_or(0, Vec::len) / BLOCK * BLOCK;
        let (mut position, mut due) = (0, Instant::now());
        let mut creeps_at = due;
        while !self.shared.stop.load(Ordering::Acquire) {
            let Some(next) = self.next(Instant::now() >= creeps_at) else {
                self.flush(&mut processor);
                self.shared.turns.fetch_add(1, Ordering::Release);
                thread::sleep(NAP);
                due = Instant::now();
                continue;
            };
            position = lock(&self.shared.seek).take().unwrap_or(position);
            self.process(&mut processor, position, &next)?;
            self.shared.turns.fetch_add(1, Ordering::Release);
            if next.plays_song {
                position = (position + next.samples) % length.max(BLOCK);
            }
            due += block;
            creeps_at = Instant::now() + CREEP_INTERVAL;
            thread::sleep(due.saturating_duration_since(Instant::now()));
        }
        processor.ensure_processing_stopped();
        Ok(processor)
    }

    /// The next block; `None` at rest, or until the next sample of a creeping song is due.
    fn next(&self, creep_is_due: bool) -> Option<Next> {
        let next = |plays_song, samples| Some(Next { plays_song, samples });
        let mut transport = lock(&self.shared.transport);
        match &mut *transport {
            Transport::Rest => None,
            Transport::Silence => next(false, BLOCK),
            Transport::Creep { .. } if !creep_is_due => None,
            Transport::Creep { crept } => {
                *crept += 1;
                next(true, 1)
            }
            Transport::Song { left: None } => next(true, BLOCK),
            Transport::Song { left: Some(left) } if *left > 0 => {
                let samples = BLOCK.min(*left);
                *left -= samples;
                next(true, samples)
            }
            Transport::Song { .. } => {
                *transport = Transport::Rest;
                None
            }
        }
    }

    /// One block: of the song from `position` on, or of silence.
    fn process(
        &self,
        processor: &mut PluginAudioProcessor<Handlers>,
        position: usize,
        next: &Next,
    ) -> Result<()> {
        let sound = |sound: &Arc<Vec<Vec<f32>>>| {
            let sound = next.plays_song.then(|| Arc::clone(sound));
            sound.unwrap_or_default()
        };
        let (voice, reference) = (sound(&self.sound.voice), sound(&self.sound.reference));
        let job = Render {
            reference: &reference,
            ..Render::new(self.sound.sample_rate_hz, &voice)
        };
        let mut block = job.block(&self.inputs, self.channels, position, next.samples);
        let event = |(parameter, kind)| ParamEvent {
            sample: 0,
            parameter,
            kind,
        };
        block.events = lock(&self.shared.events).drain(..).map(event).collect();
        let place = *lock(&self.shared.place);
        block.transport = place.map(|place| crate::Transport {
            playing: next.plays_song,
            position_s: place.start_s + position as f64 / self.sound.sample_rate_hz,
            tempo_bpm: place.tempo_bpm,
            metre: place.metre,
            loop_s: None,
        });
        let processed = process(processor, &self.requests.rules, &mut block)?;
        self.keep(&block.output());
        lock(&self.shared.edits).extend(processed.edits);
        Ok(())
    }

    fn keep(&self, output: &[Vec<f32>]) {
        let mut heard = lock(&self.shared.heard);
        heard.resize(output.len(), Vec::new());
        for (kept, channel) in heard.iter_mut().zip(output) {
            kept.extend_from_slice(channel);
            let surplus = kept.len().saturating_sub(KEPT_BLOCKS * BLOCK);
            kept.drain(..surplus);
        }
    }

    /// Exchanges values without sound, where the plug-in asks for it.
    fn flush(&self, processor: &mut PluginAudioProcessor<Handlers>) {
        if self.requests.flush.swap(false, Ordering::AcqRel) {
            let mut handle = processor.plugin_handle();
            let edits = exchange(&[], &self.requests.rules, |given, taken| {
                self.params.flush_active(&mut handle, given, taken);
            });
            lock(&self.shared.edits).extend(edits);
        }
    }
}
