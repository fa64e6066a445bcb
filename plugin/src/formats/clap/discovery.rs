//! CLAP's preset-discovery factory: one provider, which lists the starting points as presets that lie in the plug-in.

use std::ffi::{CStr, CString};

use clack_extensions::preset_discovery::prelude::*;
use clack_plugin::prelude::PluginError;

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
            Ok(Provider)
        };
        (self.descriptor.id() == Some(id)).then(|| ProviderInstance::new(indexer, &self.descriptor, declare))
    }
}

struct Provider;

impl ProviderImpl<'_> for Provider {
    fn get_metadata(
        &mut self,
        location: Location,
        receiver: &mut MetadataReceiver,
    ) -> Result<(), PluginError> {
        if location != Location::Plugin {
            return Ok(());
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
