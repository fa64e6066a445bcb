//! An active insert, driven call by call as a host may, rule by rule or against the rules. [`Plugin::render`] plays a
//! whole sound; this is for what lies below it, in CLAP's own structures.

use std::ops::{Deref, DerefMut};
use std::panic;
use std::thread;

use clack_extensions::params::PluginParams;
use clack_extensions::tail::PluginTail;
use clack_host::events::Pckn;
use clack_host::events::event_types::ParamValueEvent;
use clack_host::events::io::EventBuffer;
use clack_host::plugin::PluginInstanceError;
use clack_host::process::{PluginAudioConfiguration, PluginAudioProcessor};

use super::handlers::Handlers;
use super::inside::BlockTime;
use super::raw_process::process;
use super::{Answer, ClapId, Handed, HostError, Plugin};

/// An insert that is active.
pub struct Session {
    plugin: Plugin,
    processor: Option<PluginAudioProcessor<Handlers>>,
}

impl Deref for Session {
    type Target = Plugin;

    fn deref(&self) -> &Plugin {
        &self.plugin
    }
}

impl DerefMut for Session {
    fn deref_mut(&mut self) -> &mut Plugin {
        &mut self.plugin
    }
}

impl Drop for Session {
    fn drop(&mut self) {
        self.deactivate();
    }
}

impl Plugin {
    /// The insert, to be driven call by call; not yet active.
    #[must_use]
    pub fn session(self) -> Session {
        Session {
            plugin: self,
            processor: None,
        }
    }
}

impl Session {
    /// Activates at a sample rate, for blocks of at most `most_samples`.
    ///
    /// # Errors
    ///
    /// [`HostError::Plugin`] where the plug-in refuses.
    pub fn activate(&mut self, sample_rate_hz: f64, most_samples: usize) -> Result<(), HostError> {
        let configuration = PluginAudioConfiguration {
            sample_rate: sample_rate_hz,
            min_frames_count: 1,
            max_frames_count: most_samples as u32,
        };
        let processor = self.plugin.instance.activate(|_, _| (), configuration)?;
        self.processor = Some(processor.into());
        Ok(())
    }

    /// Stops and deactivates.
    pub fn deactivate(&mut self) {
        if let Some(processor) = self.processor.take() {
            let stopped = on_audio_thread(|| processor.into_stopped());
            self.plugin.instance.deactivate(stopped);
        }
    }

    /// Whether it is active.
    #[must_use]
    pub fn is_active(&self) -> bool {
        self.processor.is_some()
    }

    /// Starts processing, which resets; no matter if it has started.
    ///
    /// # Errors
    ///
    /// [`HostError::Plugin`] where the plug-in refuses or is not active.
    pub fn start(&mut self) -> Result<(), HostError> {
        let processor = self.active()?;
        on_audio_thread(|| {
            processor
                .ensure_processing_started()
                .map(drop)
                .map_err(|_| PluginInstanceError::StartProcessingFailed)
        })?;
        Ok(())
    }

    /// Stops processing; it stays active.
    ///
    /// # Errors
    ///
    /// [`HostError::Plugin`] where it is not active.
    pub fn stop(&mut self) -> Result<(), HostError> {
        let processor = self.active()?;
        on_audio_thread(|| {
            processor.ensure_processing_stopped();
        });
        Ok(())
    }

    /// Makes it forget all sound.
    ///
    /// # Errors
    ///
    /// [`HostError::Plugin`] where it is not active.
    pub fn reset(&mut self) -> Result<(), HostError> {
        let processor = self.active()?;
        on_audio_thread(|| processor.reset());
        Ok(())
    }

    /// Hands a block over, on a thread that is not the main thread.
    ///
    /// # Errors
    ///
    /// [`HostError::Plugin`] where it is not active or cannot start.
    pub fn process(&mut self, block: &mut Handed) -> Result<Answer, HostError> {
        self.process_all(std::slice::from_mut(block))
            .map(|answers| answers[0])
    }

    /// Hands blocks over, one after the other.
    ///
    /// # Errors
    ///
    /// As [`Session::process`].
    pub fn process_all(&mut self, blocks: &mut [Handed]) -> Result<Vec<Answer>, HostError> {
        Ok(self
            .process_timed(blocks)?
            .into_iter()
            .map(|(answer, _)| answer)
            .collect())
    }

    /// Hands blocks over, one after the other, and tells how long each took inside the plug-in.
    ///
    /// # Errors
    ///
    /// As [`Session::process`].
    pub fn process_timed(&mut self, blocks: &mut [Handed]) -> Result<Vec<(Answer, BlockTime)>, HostError> {
        self.start()?;
        let processor = self.active()?;
        Ok(on_audio_thread(|| {
            let plugin = processor.plugin_handle().as_raw_ptr();
            // SAFETY: the plug-in is active and started, and this is the only thread that processes.
            let answer = |block: &mut Handed| unsafe { process(plugin, block) };
            blocks.iter_mut().map(answer).collect()
        }))
    }

    /// Hands blocks over while the main thread does `work` again and again, until the sound ends.
    ///
    /// # Errors
    ///
    /// As [`Session::process`].
    pub fn process_while(
        &mut self,
        blocks: &mut [Handed],
        mut work: impl FnMut(&mut Plugin),
    ) -> Result<Vec<Answer>, HostError> {
        self.start()?;
        let Self { plugin, processor } = self;
        let processor = processor
            .as_mut()
            .ok_or(HostError::Plugin(PluginInstanceError::DeactivatedPlugin))?;
        thread::scope(|scope| {
            let audio = scope.spawn(|| {
                let plugin = processor.plugin_handle().as_raw_ptr();
                // SAFETY: the plug-in is active and started, and this is the only thread that processes.
                let answer = |block: &mut Handed| unsafe { process(plugin, block) };
                blocks.iter_mut().map(answer).map(|(answer, _)| answer).collect()
            });
            while !audio.is_finished() {
                work(plugin);
            }
            Ok(audio.join().unwrap_or_else(|cause| panic::resume_unwind(cause)))
        })
    }

    /// Sets a value, in CLAP's scale, without a block: through `flush`, on the thread that the state asks for.
    ///
    /// # Errors
    ///
    /// [`HostError::Missing`] where the plug-in has no parameters.
    pub fn flush(&mut self, parameter: ClapId, value: f64) -> Result<(), HostError> {
        let params: PluginParams = self.plugin.params()?;
        let mut events = EventBuffer::new();
        events.push(&ParamValueEvent::new(0, parameter, Pckn::match_all(), value));
        let mut answers = EventBuffer::new();
        if let Some(processor) = &mut self.processor {
            on_audio_thread(|| {
                let mut handle = processor.plugin_handle();
                params.flush_active(&mut handle, &events.as_input(), &mut answers.as_output());
            });
        } else if let Some(mut handle) = self.plugin.instance.inactive_plugin_handle() {
            params.flush(&mut handle, &events.as_input(), &mut answers.as_output());
        }
        Ok(())
    }

    /// How long the plug-in sounds on after its input has fallen silent, in samples.
    ///
    /// # Errors
    ///
    /// [`HostError::Missing`] where it does not tell, [`HostError::Plugin`] where it is not active.
    pub fn tail_samples(&mut self) -> Result<u32, HostError> {
        let tail: PluginTail = self.plugin.extension("its tail")?;
        let processor = self.active()?;
        Ok(on_audio_thread(|| {
            // The extension is asked for by the audio thread's handle, which CLAP allows.
            tail.get(&processor.plugin_handle()).to_raw()
        }))
    }

    /// Serves what the plug-in has asked for; says whether it wants a restart.
    pub fn wants_restart(&mut self) -> bool {
        self.plugin.serve_requests()
    }

    /// How often the plug-in has told that its latency is another one.
    #[must_use]
    pub fn latency_changes(&self) -> usize {
        self.plugin.requests().latency_changes()
    }

    fn active(&mut self) -> Result<&mut PluginAudioProcessor<Handlers>, HostError> {
        self.processor
            .as_mut()
            .ok_or(HostError::Plugin(PluginInstanceError::DeactivatedPlugin))
    }
}

/// Runs `work` on a thread that is not the plug-in's main thread, and waits for it.
fn on_audio_thread<T: Send>(work: impl FnOnce() -> T + Send) -> T {
    thread::scope(|scope| match scope.spawn(work).join() {
        Ok(done) => done,
        Err(cause) => panic::resume_unwind(cause),
    })
}
