//! The presets that a bundle brings along, found and loaded as a host does with CLAP's preset discovery.

use std::ffi::{CStr, CString};
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, anyhow, ensure};
use clack_extensions::preset_discovery::prelude::*;
use clack_host::entry::PluginEntry;
use clack_host::host::HostInfo;
use clack_host::prelude::HostError as Refusal;

use super::bundle::text;
use super::plugin::missing;
use super::{Bundle, Plugin};
use crate::lock;

/// What an error of the discovery begins with.
const NOT_LISTED: &str = "the presets of the bundle cannot be listed";

/// A preset, as a bundle lists it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Preset {
    /// The key by which a plug-in loads it.
    pub word: String,
    /// The name that a person reads.
    pub name: String,
    /// What it is for.
    pub purpose: String,
    /// The ids of the plug-ins that it is for, each after its format: "clap audio.siskin.siskin".
    pub plug_ins: Vec<String>,
    /// Whether it is flagged as the maker's own.
    pub is_factory_content: bool,
}

impl Preset {
    /// The name of the plug-in in `bundle` that it is for.
    pub fn plug_in(&self, bundle: &Bundle) -> Option<String> {
        let is_for = |id: &str| self.plug_ins.iter().any(|known| *known == format!("clap {id}"));
        let mut descriptors = bundle.descriptors().into_iter();
        descriptors
            .find(|plug_in| is_for(&plug_in.id))
            .map(|plug_in| plug_in.name)
    }
}

impl Bundle {
    /// The presets that lie in the bundle itself, in its own order; fails where it has no preset discovery.
    pub fn presets(&self) -> Result<Vec<Preset>> {
        self.presets_kept(Kept::InTheBundle)
    }

    /// The presets that lie in files, found in the folders and by the endings that the bundle declares; their names in order.
    pub fn preset_files(&self) -> Result<Vec<Preset>> {
        self.presets_kept(Kept::AsFiles)
    }

    fn presets_kept(&self, kept: Kept) -> Result<Vec<Preset>> {
        let entry = self.entry();
        let factory = entry
            .get_factory::<PresetDiscoveryFactory>()
            .ok_or_else(|| missing("presets"))?;
        let mut listed = Listed::default();
        for id in factory
            .provider_descriptors()
            .filter_map(|provider| provider.id())
        {
            list(entry, id, kept, &mut listed)?;
        }
        let error = listed.error.as_deref();
        ensure!(error.is_none(), "{NOT_LISTED}: {}", error.unwrap_or_default());
        Ok(listed.presets)
    }
}

/// Where presets are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kept {
    InTheBundle,
    AsFiles,
}

fn list(entry: &PluginEntry, id: &CStr, kept: Kept, listed: &mut Listed) -> Result<()> {
    let host = HostInfo::new("Siskin tests", "Siskin", "", env!("CARGO_PKG_VERSION")).context(NOT_LISTED)?;
    let mut provider = Provider::instantiate(Locations::default(), entry, id, &host).context(NOT_LISTED)?;
    if kept == Kept::InTheBundle && provider.indexer().in_the_bundle {
        provider.get_metadata(Location::Plugin, listed);
    }
    if kept == Kept::AsFiles {
        for path in provider.indexer().files() {
            let path = CString::new(path.to_str().context(NOT_LISTED)?)?;
            provider.get_metadata(Location::File { path: &path }, listed);
        }
    }
    Ok(())
}

impl Plugin {
    /// Loads the preset that the bundle lists under `word`; else an error with what the plug-in said, also
    /// where it does not confirm that it has loaded it.
    pub fn load_preset(&mut self, word: &str) -> Result<()> {
        self.load_from(Location::Plugin, word)
    }

    /// Loads the preset in the file at `path`, as [`Self::load_preset`] does.
    pub fn load_preset_file(&mut self, path: &Path) -> Result<()> {
        let path = CString::new(path.to_str().context("the path is no text")?)?;
        self.load_from(Location::File { path: &path }, "")
    }

    fn load_from(&mut self, location: Location, word: &str) -> Result<()> {
        let refused = |said: &str| anyhow!("the preset \"{word}\" was not loaded: {said}");
        let key = CString::new(word)?;
        let extension = self.extension::<PluginPresetLoad>("loading of presets")?;
        let handle = self.instance.plugin_handle();
        let key = (location == Location::Plugin).then_some(key.as_c_str());
        let loaded = extension.load_from_location(&handle, location, key);
        match lock(&self.requests.preset).take() {
            Some(Ok(confirmed)) if loaded.is_ok() && confirmed == word => Ok(()),
            Some(Err(message)) => Err(refused(&message)),
            _ => Err(refused("it does not say why")),
        }
    }
}

/// Where a provider keeps presets.
#[derive(Default)]
struct Locations {
    in_the_bundle: bool,
    endings: Vec<String>,
    folders: Vec<PathBuf>,
}

impl Locations {
    /// The files with one of the endings, in the folders and those below, in order.
    fn files(&self) -> Vec<PathBuf> {
        let (mut folders, mut found) = (self.folders.clone(), Vec::new());
        while let Some(folder) = folders.pop() {
            for path in std::fs::read_dir(folder).into_iter().flatten().flatten() {
                let path = path.path();
                let ending = path.extension().and_then(|ending| ending.to_str());
                if path.is_dir() {
                    folders.push(path);
                } else if ending.is_some_and(|ending| self.endings.iter().any(|known| known == ending)) {
                    found.push(path);
                }
            }
        }
        found.sort();
        found
    }
}

impl IndexerImpl for Locations {
    fn declare_filetype(&mut self, file_type: FileType) -> Result<(), Refusal> {
        self.endings.push(text(file_type.file_extension));
        Ok(())
    }

    fn declare_location(&mut self, location: LocationInfo) -> Result<(), Refusal> {
        match location.location {
            Location::Plugin => self.in_the_bundle = true,
            Location::File { path } => self.folders.push(text(Some(path)).into()),
        }
        Ok(())
    }

    fn declare_soundpack(&mut self, _soundpack: Soundpack) -> Result<(), Refusal> {
        Ok(())
    }
}

/// What a provider listed.
#[derive(Default)]
struct Listed {
    presets: Vec<Preset>,
    error: Option<String>,
}

impl Listed {
    fn change(&mut self, change: impl FnOnce(&mut Preset)) {
        if let Some(preset) = self.presets.last_mut() {
            change(preset);
        }
    }
}

impl MetadataReceiverImpl for Listed {
    fn on_error(&mut self, _error_code: i32, message: Option<&CStr>) {
        self.error = Some(text(message));
    }

    fn begin_preset(&mut self, name: Option<&CStr>, load_key: Option<&CStr>) -> Result<(), Refusal> {
        self.presets.push(Preset {
            word: text(load_key),
            name: text(name),
            ..Preset::default()
        });
        Ok(())
    }

    fn add_plugin_id(&mut self, id: UniversalPluginId) {
        let id = format!("{} {}", id.abi.to_string_lossy(), id.id.to_string_lossy());
        self.change(|preset| preset.plug_ins.push(id));
    }

    fn set_soundpack_id(&mut self, _soundpack_id: &CStr) {}

    fn set_flags(&mut self, flags: Flags) {
        self.change(|preset| preset.is_factory_content = flags.contains(Flags::IS_FACTORY_CONTENT));
    }

    fn add_creator(&mut self, _creator: &CStr) {}

    fn set_description(&mut self, description: &CStr) {
        self.change(|preset| preset.purpose = text(Some(description)));
    }

    fn set_timestamps(&mut self, _created: Option<Timestamp>, _changed: Option<Timestamp>) {}

    fn add_feature(&mut self, _feature: &CStr) {}

    fn add_extra_info(&mut self, _key: &CStr, _value: &CStr) {}
}
