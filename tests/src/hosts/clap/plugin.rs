//! An insert: one plug-in, made, set and asked.

use std::ffi::CStr;
use std::sync::Arc;

use clack_extensions::audio_ports::PluginAudioPorts;
use clack_extensions::audio_ports_config::PluginAudioPortsConfig;
use clack_extensions::latency::PluginLatency;
use clack_extensions::params::PluginParams;
use clack_extensions::render::{PluginRender, RenderMode};
use clack_extensions::state::PluginState;
use clack_host::entry::PluginEntry;
use clack_host::extensions::{Extension, PluginExtensionSide};
use clack_host::host::HostInfo;
use clack_host::plugin::{PluginInstance, PluginInstanceError};
use clack_host::process::StoppedPluginAudioProcessor;

use super::handlers::{Handlers, MainThread, Requests, Shared};
use super::{HostError, Layout, Parameter, Port, Render, parameters, ports, render, state};

/// Under what pressure of time sound is processed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// As while a song plays.
    Realtime,
    /// As while a song is bounced.
    Offline,
}

/// A plug-in on the thread that made it.
pub struct Plugin {
    pub(super) instance: PluginInstance<Handlers>,
    requests: Arc<Requests>,
    pub(super) parameters: Vec<Parameter>,
}

impl Plugin {
    pub(super) fn new(entry: &PluginEntry, id: &CStr) -> Result<Self, HostError> {
        let requests = Arc::new(Requests::default());
        let shared = Shared::new(Arc::clone(&requests));
        let main_thread = MainThread(Arc::clone(&requests));
        let host = HostInfo::new("Siskin rig", "Siskin", "", env!("CARGO_PKG_VERSION"))
            .map_err(|_| PluginInstanceError::InstantiationFailed)?;
        let mut plugin = Self {
            instance: PluginInstance::new(|()| shared, |_| main_thread, entry, id, &host)?,
            requests,
            parameters: Vec::new(),
        };
        let saved_ids = state::parameter_ids(&plugin.save_state()?);
        let params = plugin.params()?;
        plugin.parameters = parameters::list(params, &plugin.instance.plugin_handle(), &saved_ids);
        Ok(plugin)
    }

    /// The input ports of the current layout: the voice, then the side-chain if there is one.
    ///
    /// # Errors
    ///
    /// [`HostError::Missing`] where the plug-in has no ports.
    pub fn inputs(&mut self) -> Result<Vec<Port>, HostError> {
        let extension = self.extension::<PluginAudioPorts>("audio ports")?;
        Ok(ports::list(extension, &self.instance.plugin_handle(), true))
    }

    /// The output ports of the current layout.
    ///
    /// # Errors
    ///
    /// [`HostError::Missing`] where the plug-in has no ports.
    pub fn outputs(&mut self) -> Result<Vec<Port>, HostError> {
        let extension = self.extension::<PluginAudioPorts>("audio ports")?;
        Ok(ports::list(extension, &self.instance.plugin_handle(), false))
    }

    /// The layouts among which a host may choose, the plug-in's favourite first; empty where there is but one.
    pub fn layouts(&mut self) -> Vec<Layout> {
        self.extension::<PluginAudioPortsConfig>("layouts")
            .map(|extension| ports::layouts(extension, &self.instance.plugin_handle()))
            .unwrap_or_default()
    }

    /// Chooses the layout whose main ports carry `channels` channels.
    ///
    /// # Errors
    ///
    /// [`HostError::NoLayout`].
    pub fn select_channels(&mut self, channels: usize) -> Result<(), HostError> {
        if self
            .inputs()?
            .first()
            .is_some_and(|port| port.channels == channels)
        {
            return Ok(());
        }
        let missing = || HostError::NoLayout { channels };
        let layout = self
            .layouts()
            .into_iter()
            .find(|layout| layout.channels == channels)
            .ok_or_else(missing)?;
        self.extension::<PluginAudioPortsConfig>("layouts")?
            .select(&self.instance.plugin_handle(), layout.clap_id)
            .map_err(|_| missing())
    }

    /// Says under what pressure of time the next pass runs.
    ///
    /// # Errors
    ///
    /// [`HostError::Missing`] where the plug-in refuses.
    pub fn set_mode(&mut self, mode: Mode) -> Result<(), HostError> {
        let mode = match mode {
            Mode::Realtime => RenderMode::Realtime,
            Mode::Offline => RenderMode::Offline,
        };
        let Ok(extension) = self.extension::<PluginRender>("offline rendering") else {
            return Ok(());
        };
        extension
            .set(&self.instance.plugin_handle(), mode)
            .map_err(|_| HostError::Missing("the asked mode of rendering"))
    }

    /// The latency that the plug-in reports now, in samples; current once a pass has begun.
    ///
    /// # Errors
    ///
    /// [`HostError::Missing`] where it reports none.
    pub fn latency_samples(&mut self) -> Result<usize, HostError> {
        let extension = self.extension::<PluginLatency>("its latency")?;
        Ok(extension.get(&self.instance.plugin_handle()) as usize)
    }

    /// The state, as a song keeps it.
    ///
    /// # Errors
    ///
    /// [`HostError::StateNotSaved`].
    pub fn save_state(&mut self) -> Result<Vec<u8>, HostError> {
        let extension = self.extension::<PluginState>("its state")?;
        state::save(extension, &self.instance.plugin_handle())
    }

    /// Takes a state that [`Plugin::save_state`] gave.
    ///
    /// # Errors
    ///
    /// [`HostError::StateNotLoaded`].
    pub fn load_state(&mut self, bytes: &[u8]) -> Result<(), HostError> {
        let extension = self.extension::<PluginState>("its state")?;
        state::load(extension, &self.instance.plugin_handle(), bytes)
    }

    /// Takes a state that comes in pieces of `piece` bytes at most, as a stream may.
    ///
    /// # Errors
    ///
    /// [`HostError::StateNotLoaded`].
    pub fn load_state_in_pieces(&mut self, bytes: &[u8], piece: usize) -> Result<(), HostError> {
        let extension = self.extension::<PluginState>("its state")?;
        state::load_in_pieces(extension, &self.instance.plugin_handle(), bytes, piece)
    }

    /// Makes the plug-in ready for `job`. It may ask for a restart while that happens, for instance because its latency
    /// is now another one: then it is made ready anew, before any sound.
    pub(super) fn activate(
        &mut self,
        job: &Render,
    ) -> Result<StoppedPluginAudioProcessor<Handlers>, HostError> {
        for _ in 0..render::FRUITLESS_RESTARTS {
            let processor = self.instance.activate(|_, _| (), render::configuration(job))?;
            if !self.serve_requests() {
                return Ok(processor);
            }
            self.instance.deactivate(processor);
        }
        Err(HostError::EndlessRestart)
    }

    pub(super) fn deactivate(&mut self, processor: StoppedPluginAudioProcessor<Handlers>) {
        self.instance.deactivate(processor);
    }

    pub(super) fn requests(&self) -> &Requests {
        &self.requests
    }

    pub(super) fn shared_requests(&self) -> Arc<Requests> {
        Arc::clone(&self.requests)
    }

    /// Calls the plug-in on the main thread if it asked for that; says whether it wants a restart.
    pub(super) fn serve_requests(&mut self) -> bool {
        if self.requests.take_callback() {
            self.instance.call_on_main_thread_callback();
        }
        self.requests.take_restart()
    }

    pub(super) fn params(&mut self) -> Result<PluginParams, HostError> {
        self.extension("parameters")
    }

    pub(super) fn extension<E: Extension<ExtensionSide = PluginExtensionSide>>(
        &mut self,
        what: &'static str,
    ) -> Result<E, HostError> {
        self.instance
            .plugin_handle()
            .get_extension()
            .ok_or(HostError::Missing(what))
    }
}
