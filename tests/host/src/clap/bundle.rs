//! The bundle: a library that holds plug-ins.

use std::ffi::CStr;
use std::path::Path;

use anyhow::{Context, Result};
use clack_host::entry::PluginEntry;
use clack_host::plugin::{PluginDescriptor, PluginInstanceError};

use super::Plugin;

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
    /// Loads the bundle at `path`: a `.clap` bundle, or a library that exports a CLAP entry.
    pub fn load(path: &Path) -> Result<Self> {
        // SAFETY: loading runs code of the library. It is the one that this workspace built.
        let entry = unsafe { PluginEntry::load(path) }.with_context(|| {
            let path = path.display();
            format!("{path} cannot be loaded; build it with: cargo xtask bundle")
        })?;
        // An insert's background thread may outlive it by a moment, and must not find its code gone: like most audio
        // programs, this host never unloads a library.
        std::mem::forget(entry.clone());
        let strict = false;
        Ok(Self { entry, strict })
    }

    /// As [`Bundle::load`], and the end of an insert panics where it broke a rule of CLAP for callbacks.
    pub fn load_strict(path: &Path) -> Result<Self> {
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

    /// A new insert of the plug-in that is called `name`, on this thread.
    pub fn plugin(&self, name: &str) -> Result<Plugin> {
        let factory = self
            .entry
            .get_plugin_factory()
            .ok_or(PluginInstanceError::MissingPluginFactory)?;
        let id = factory
            .plugin_descriptors()
            .find(|plugin| text(plugin.name()) == name)
            .and_then(|plugin| plugin.id())
            .with_context(|| format!("the bundle holds no plug-in named \"{name}\""))?;
        Plugin::new(&self.entry, id, self.strict)
    }
}

/// A text of a plug-in; empty where it gives none.
pub fn text(text: Option<&CStr>) -> String {
    text.unwrap_or_default().to_string_lossy().into_owned()
}
