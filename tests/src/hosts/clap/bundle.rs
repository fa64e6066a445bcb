//! The bundle: a library that holds plug-ins.

use std::ffi::CStr;
use std::path::Path;

use clack_host::entry::PluginEntry;
use clack_host::plugin::{PluginDescriptor, PluginInstanceError};

use super::{HostError, Plugin};

/// What a bundle says about one plug-in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Descriptor {
    /// The id by which songs remember the plug-in.
    pub id: String,
    /// The name that a person reads.
    pub name: String,
    /// Its maker.
    pub vendor: String,
    /// Its version.
    pub version: String,
    /// CLAP's features.
    pub features: Vec<String>,
}

/// A loaded bundle.
pub struct Bundle {
    entry: PluginEntry,
    strict: bool,
}

impl Bundle {
    /// Loads the bundle at `path`: a `.clap` bundle, or a library that exports a CLAP entry;
    /// [`HostError::Load`] where there is no such file or it is no CLAP library.
    pub fn load(path: &Path) -> Result<Self, HostError> {
        // SAFETY: loading runs code of the library. It is the one that this workspace built.
        let entry = unsafe { PluginEntry::load(path) }.map_err(|cause| HostError::Load {
            path: path.into(),
            cause,
        })?;
        // An insert's background thread may outlive it by a moment, and must not find its code gone: like most audio
        // programs, this host never unloads a library.
        std::mem::forget(entry.clone());
        let strict = false;
        Ok(Self { entry, strict })
    }

    /// As [`Bundle::load`], and the end of an insert panics where it broke a rule of CLAP for callbacks.
    pub fn load_strict(path: &Path) -> Result<Self, HostError> {
        let strict = true;
        Ok(Self {
            strict,
            ..Self::load(path)?
        })
    }

    pub(super) fn entry(&self) -> &PluginEntry {
        &self.entry
    }

    /// What the bundle says about its plug-ins, in its own order.
    pub fn descriptors(&self) -> Vec<Descriptor> {
        let Some(factory) = self.entry.get_plugin_factory() else {
            return Vec::new();
        };
        let describe = |plugin: &PluginDescriptor| Descriptor {
            id: text(plugin.id()),
            name: text(plugin.name()),
            vendor: text(plugin.vendor()),
            version: text(plugin.version()),
            features: plugin.features().map(|feature| text(Some(feature))).collect(),
        };
        factory.plugin_descriptors().map(describe).collect()
    }

    /// A new insert of the plug-in that is called `name`, on this thread;
    /// [`HostError::NoSuchPlugin`] for an unknown name, [`HostError::Plugin`] where it cannot be made.
    pub fn plugin(&self, name: &str) -> Result<Plugin, HostError> {
        let factory = self
            .entry
            .get_plugin_factory()
            .ok_or(PluginInstanceError::MissingPluginFactory)?;
        let id = factory
            .plugin_descriptors()
            .find(|plugin| text(plugin.name()) == name)
            .and_then(|plugin| plugin.id())
            .ok_or_else(|| HostError::NoSuchPlugin {
                name: name.into(),
                held: self.descriptors().into_iter().map(|plugin| plugin.name).collect(),
            })?;
        Plugin::new(&self.entry, id, self.strict)
    }
}

fn text(text: Option<&CStr>) -> String {
    text.unwrap_or_default().to_string_lossy().into_owned()
}
