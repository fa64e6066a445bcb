//! An insert: one plug-in, made, set and asked. [`activation`](super::activation) has its calls while it is active.

use std::ffi::CStr;
use std::sync::Arc;
use std::sync::atomic::Ordering;

use anyhow::{Context, Result, anyhow};
use clack_extensions::latency::PluginLatency;
use clack_extensions::params::PluginParams;
use clack_extensions::render::PluginRender;
use clack_extensions::state::PluginState;
use clack_host::entry::PluginEntry;
use clack_host::extensions::{Extension, PluginExtensionSide};
use clack_host::host::HostInfo;
use clack_host::plugin::PluginInstance;
use clack_host::process::PluginAudioProcessor;

pub use clack_extensions::render::RenderMode as Mode;

use super::handlers::{Handlers, MainThread, Requests, Shared};
use super::{Parameter, parameters, state};
use crate::rules::{Enforcement, HostRules, Phase};

/// A plug-in on the thread that made it.
pub struct Plugin {
    /// While it is active.
    pub(super) processor: Option<PluginAudioProcessor<Handlers>>,
    pub(super) instance: PluginInstance<Handlers>,
    pub(super) requests: Arc<Requests>,
    pub(super) parameters: Vec<Parameter>,
    /// The last field: it looks at what the end of the insert did, too.
    _enforcement: Enforcement,
}

impl Drop for Plugin {
    fn drop(&mut self) {
        self.deactivate();
        self.rules().enter(Phase::Destroying);
    }
}

impl Plugin {
    pub(super) fn new(entry: &PluginEntry, id: &CStr, strict: bool) -> Result<Self> {
        let requests = Arc::<Requests>::default();
        let (shared, main_thread) = (Shared(Arc::clone(&requests)), MainThread(Arc::clone(&requests)));
        if strict {
            requests.rules.enforce();
        }
        let host = HostInfo::new("Siskin tests", "Siskin", "", env!("CARGO_PKG_VERSION"))?;
        let mut plugin = Self {
            processor: None,
            instance: PluginInstance::new(|()| shared, |_| main_thread, entry, id, &host)?,
            _enforcement: Enforcement(Arc::clone(&requests.rules)),
            requests,
            parameters: Vec::new(),
        };
        let saved_ids = state::parameter_ids(&plugin.save_state()?);
        let params = plugin.params()?;
        plugin.parameters = parameters::list(params, &plugin.instance.plugin_handle(), &saved_ids);
        Ok(plugin)
    }

    /// The rules for its callbacks.
    pub fn rules(&self) -> &HostRules {
        &self.requests.rules
    }

    /// Says whether the next pass runs in real time; refused where the plug-in does not offer the mode.
    pub fn set_mode(&mut self, mode: Mode) -> Result<()> {
        let Ok(extension) = self.extension::<PluginRender>("offline rendering") else {
            return Ok(());
        };
        extension
            .set(&self.instance.plugin_handle(), mode)
            .context("the plug-in does not offer the asked mode of rendering")
    }

    /// The latency that the plug-in reports now, in samples; current once it is active.
    pub fn latency_samples(&mut self) -> Result<usize> {
        let extension = self.extension::<PluginLatency>("its latency")?;
        Ok(extension.get(&self.instance.plugin_handle()) as usize)
    }

    /// How often the plug-in has announced another latency.
    pub fn latency_changes(&self) -> usize {
        self.requests.latency_changes.load(Ordering::Acquire)
    }

    /// The state, as a song keeps it.
    pub fn save_state(&mut self) -> Result<Vec<u8>> {
        let extension = self.extension::<PluginState>("its state")?;
        state::save(extension, &self.instance.plugin_handle())
    }

    /// Takes a state that [`Plugin::save_state`] gave.
    pub fn load_state(&mut self, bytes: &[u8]) -> Result<()> {
        self.load_state_in_pieces(bytes, usize::MAX)
    }

    /// Takes a state that comes in pieces of `piece` bytes at most, as a stream may.
    pub fn load_state_in_pieces(&mut self, bytes: &[u8], piece: usize) -> Result<()> {
        let extension = self.extension::<PluginState>("its state")?;
        state::load(extension, &self.instance.plugin_handle(), bytes, piece)
    }

    /// Calls the plug-in on the main thread if it asked for that; says whether it wants a restart.
    pub fn serve_requests(&mut self) -> bool {
        if self.requests.callback.swap(false, Ordering::AcqRel) {
            self.instance.call_on_main_thread_callback();
        }
        self.requests.restart.swap(false, Ordering::AcqRel)
    }

    pub(super) fn params(&mut self) -> Result<PluginParams> {
        self.extension("parameters")
    }

    pub(super) fn extension<E: Extension<ExtensionSide = PluginExtensionSide>>(
        &mut self,
        what: &'static str,
    ) -> Result<E> {
        self.instance
            .plugin_handle()
            .get_extension()
            .ok_or_else(|| missing(what))
    }
}

/// The plug-in lacks a part of CLAP that this host needs.
pub(super) fn missing(what: &str) -> anyhow::Error {
    anyhow!("the plug-in does not offer {what}")
}
