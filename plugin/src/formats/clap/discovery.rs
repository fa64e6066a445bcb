//! CLAP's preset-discovery factory: one provider, which lists the starting points as presets that lie in the plug-in, and
//! those that a person has kept as files.

use std::ffi::{CStr, CString};
use std::path::Path;

use clack_extensions::preset_discovery::prelude::*;
use clack_plugin::prelude::PluginError;

use crate::kind::{Following, Kind, Plain};
use crate::params::starting_points::STARTING_POINTS;

/// The id of the provider, which hosts may save.
const ID: &str = "audio.siskin.starting-points";
const NAME: &str = "Siskin starting points";
const VENDOR: &str = "Siskin";

/// The factory.
pub struct Presets {
    descriptor: ProviderDescriptor,
}

impl Presets {
    pub fn new() -> Self {
        Self {
            descriptor: ProviderDescriptor::new(ID, NAME).with_vendor(VENDOR),
        }
    }
}

impl PresetDiscoveryFactoryImpl for Presets {
    fn provider_count(&self) -> u32 {
        1
    }

    fn provider_descriptor(&self, index: u32) -> Option<&ProviderDescriptor> {
        (index == 0).then_some(&self.descriptor)
    }

    fn create_provider<'a>(&'a self, indexer: IndexerInfo<'a>, id: &CStr) -> Option<ProviderInstance<'a>> {
        let declare = |mut indexer: Indexer| {
            indexer.declare_location(LocationInfo {
                name: c"Siskin starting points",
                flags: Flags::IS_FACTORY_CONTENT,
                location: Location::Plugin,
            })?;
            declare_own(&mut indexer)?;
            Ok(Provider)
        };
        (self.descriptor.id() == Some(id)).then(|| ProviderInstance::new(indexer, &self.descriptor, declare))
    }
}

/// Declares the folder of a person's own presets, where there is one.
fn declare_own(indexer: &mut Indexer) -> Result<(), PluginError> {
    let folder = siskin_presets::vendor_folder(std::env::consts::OS, |name| std::env::var_os(name)).ok();
    let path = folder
        .filter(|folder| folder.is_dir())
        .and_then(|folder| CString::new(folder.to_str()?).ok());
    let Some(path) = path else {
        return Ok(());
    };
    indexer.declare_filetype(FileType {
        name: c"Siskin preset",
        description: None,
        file_extension: Some(c"vstpreset"),
    })?;
    indexer.declare_location(LocationInfo {
        name: c"Own starting points",
        flags: Flags::IS_USER_CONTENT,
        location: Location::File { path: &path },
    })?;
    Ok(())
}

/// Tells about a preset file, if it is one that a person has kept.
fn own_metadata(path: &CStr, receiver: &mut MetadataReceiver) -> Result<(), PluginError> {
    let Some((name, plug_in)) = siskin_presets::plug_in_of(Path::new(path.to_str()?)) else {
        return Ok(());
    };
    let id = if plug_in == Plain::NAME {
        Plain::CLAP_ID
    } else {
        Following::CLAP_ID
    };
    receiver
        .begin_preset(Some(&CString::new(name)?), None)?
        .add_plugin_id(UniversalPluginId::clap(&CString::new(id)?))
        .set_flags(Flags::IS_USER_CONTENT);
    Ok(())
}

struct Provider;

impl ProviderImpl<'_> for Provider {
    fn get_metadata(
        &mut self,
        location: Location,
        receiver: &mut MetadataReceiver,
    ) -> Result<(), PluginError> {
        if let Location::File { path } = location {
            return own_metadata(path, receiver);
        }
        for point in &STARTING_POINTS {
            let [name, word, plug_in, purpose] =
                [point.name, point.word, point.plug_in, point.purpose].map(CString::new);
            receiver
                .begin_preset(Some(&name?), Some(&word?))?
                .add_plugin_id(UniversalPluginId::clap(&plug_in?))
                .set_flags(Flags::IS_FACTORY_CONTENT)
                .add_creator(c"Siskin")
                .set_description(&purpose?);
        }
        Ok(())
    }
}
