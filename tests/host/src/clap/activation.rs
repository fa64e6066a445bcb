//! An insert while it is active, driven call by call as a host may.

use std::panic;
use std::sync::Arc;
use std::thread;

use anyhow::{Context, Result, ensure};
use clack_extensions::tail::PluginTail;
use clack_host::plugin::PluginInstanceError;
use clack_host::process::{PluginAudioConfiguration, PluginAudioProcessor};

use super::events::exchange;
use super::handlers::{AudioThread, Handlers};
use super::process::process;
use super::{Edit, Plugin};
use crate::rules::{HostRules, Phase};
use crate::{BlockTime, HostBlock, ParamEvent, ProcessStatus};

impl Plugin {
    /// Activates at a sample rate, for blocks of at most `most_samples`; refused by the plug-in, or where it is active.
    pub fn activate(&mut self, sample_rate_hz: f64, most_samples: usize) -> Result<()> {
        let configuration = PluginAudioConfiguration {
            sample_rate: sample_rate_hz,
            min_frames_count: 1,
            max_frames_count: most_samples as u32,
        };
        let audio_thread = AudioThread(Arc::clone(&self.requests));
        ensure!(!self.is_active(), PluginInstanceError::AlreadyActivatedPlugin);
        self.rules().enter(Phase::Activating);
        let activated = self.instance.activate(|_, _| audio_thread, configuration);
        self.rules().enter(if activated.is_ok() {
            Phase::Active
        } else {
            Phase::Inactive
        });
        self.processor = Some(activated?.into());
        Ok(())
    }

    /// Stops processing and deactivates; does nothing where it is not active.
    pub fn deactivate(&mut self) {
        if let Some(processor) = self.processor.take() {
            let stopped = self.rules().on_audio_thread(|| processor.into_stopped());
            self.rules().enter(Phase::Deactivating);
            self.instance.deactivate(stopped);
            self.rules().enter(Phase::Inactive);
        }
    }

    /// Whether it is active.
    pub fn is_active(&self) -> bool {
        self.processor.is_some()
    }

    /// Starts processing, which resets; no matter if it has started.
    pub fn start(&mut self) -> Result<()> {
        self.on_audio_thread(|processor, _| processor.ensure_processing_started().map(drop))?
            .context("the plug-in does not start")
    }

    /// Stops processing; it stays active.
    pub fn stop(&mut self) -> Result<()> {
        self.on_audio_thread(|processor, _| {
            processor.ensure_processing_stopped();
        })
    }

    /// Makes it forget all sound.
    pub fn reset(&mut self) -> Result<()> {
        self.on_audio_thread(|processor, _| processor.reset())
    }

    /// Hands a block over on the audio thread; fails where the plug-in is not active or does not start.
    pub fn process(&mut self, block: &mut HostBlock) -> Result<ProcessStatus> {
        self.process_all(std::slice::from_mut(block))
            .map(|statuses| statuses[0])
    }

    /// Hands blocks over, one after the other.
    pub fn process_all(&mut self, blocks: &mut [HostBlock]) -> Result<Vec<ProcessStatus>> {
        let timed = self.process_timed(blocks)?.into_iter();
        Ok(timed.map(|(status, _)| status).collect())
    }

    /// Hands blocks over, one after the other, and says how long each took inside the plug-in.
    pub fn process_timed(&mut self, blocks: &mut [HostBlock]) -> Result<Vec<(ProcessStatus, BlockTime)>> {
        self.start()?;
        let run = |processor: &mut _, rules: &HostRules| play(processor, rules, blocks);
        self.on_audio_thread(run)?
    }

    /// Hands blocks over while the main thread does `work` again and again, until the sound ends.
    pub fn process_while(
        &mut self,
        blocks: &mut [HostBlock],
        mut work: impl FnMut(&mut Self),
    ) -> Result<Vec<ProcessStatus>> {
        self.start()?;
        let mut processor = self
            .processor
            .take()
            .context(PluginInstanceError::DeactivatedPlugin)?;
        let requests = Arc::clone(&self.requests);
        let timed = thread::scope(|scope| {
            let audio = scope.spawn(|| {
                let rules = &requests.rules;
                rules.as_audio_thread(|| play(&mut processor, rules, blocks))
            });
            while !audio.is_finished() {
                work(self);
            }
            audio.join().unwrap_or_else(|cause| panic::resume_unwind(cause))
        });
        self.processor = Some(processor);
        Ok(timed?.into_iter().map(|(status, _)| status).collect())
    }

    /// Exchanges values without a block, on the thread that the state asks for; `events` are in CLAP's scale. Returns what
    /// the plug-in sent.
    pub fn flush(&mut self, events: &[ParamEvent]) -> Result<Vec<Edit>> {
        let params = self.params()?;
        if self.is_active() {
            return self.on_audio_thread(|processor, rules| {
                let mut handle = processor.plugin_handle();
                exchange(events, rules, |given, taken| {
                    params.flush_active(&mut handle, given, taken)
                })
            });
        }
        let rules = &self.requests.rules;
        let handle = self.instance.inactive_plugin_handle();
        let mut handle = handle.context(PluginInstanceError::AlreadyActivatedPlugin)?;
        Ok(exchange(events, rules, |given, taken| {
            params.flush(&mut handle, given, taken)
        }))
    }

    /// How long the plug-in sounds on after its input has fallen silent, in samples; only while it is active.
    pub fn tail_samples(&mut self) -> Result<u32> {
        let tail: PluginTail = self.extension("its tail")?;
        self.on_audio_thread(|processor, _| tail.get(&processor.plugin_handle()).to_raw())
    }

    /// Runs `work` on the audio thread; only while the plug-in is active.
    pub(super) fn on_audio_thread<T: Send>(
        &mut self,
        work: impl FnOnce(&mut PluginAudioProcessor<Handlers>, &HostRules) -> T + Send,
    ) -> Result<T> {
        let processor = self
            .processor
            .as_mut()
            .context(PluginInstanceError::DeactivatedPlugin)?;
        let rules = &self.requests.rules;
        Ok(rules.on_audio_thread(|| work(processor, rules)))
    }
}

fn play(
    processor: &mut PluginAudioProcessor<Handlers>,
    rules: &HostRules,
    blocks: &mut [HostBlock],
) -> Result<Vec<(ProcessStatus, BlockTime)>> {
    let run = |block: &mut HostBlock| {
        process(processor, rules, block).map(|processed| (processed.status, processed.time))
    };
    blocks.iter_mut().map(run).collect()
}
