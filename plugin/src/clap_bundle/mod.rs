//! The CLAP side of the bundle: the framework's plug-ins, and their starting points as presets that a host can list and
//! load.
//!
//! `nice_export_clap!` (nice-plug 0.4.2) exports an entry that knows plug-ins only and cannot be added to, so this one
//! stands in its place. [`plug_ins`] is what the macro does; [`discovery`] and [`loading`] are CLAP's
//! preset-discovery factory and its preset-load extension, and [`guarding`] stands between a host's mistakes and the
//! framework. All `unsafe` is in `plug_ins`, `loading`, `guarding` and `events`.

mod discovery;
mod events;
mod guarding;
mod loading;
mod plug_ins;

use std::ffi::CStr;

use clack_extensions::preset_discovery::prelude::PresetDiscoveryFactoryWrapper;
use clack_plugin::entry::prelude::*;
use nice_plug::wrapper::setup_logger;

use crate::{Siskin, SiskinFollow};
use discovery::Presets;
use plug_ins::PlugInFactory;

/// What a host finds in the bundle.
struct BundleEntry {
    plug_ins: PlugInFactory,
    presets: PresetDiscoveryFactoryWrapper<Presets>,
}

impl Entry for BundleEntry {
    fn new(_bundle_path: Option<&CStr>) -> Result<Self, EntryLoadError> {
        setup_logger::<Siskin>();
        setup_logger::<SiskinFollow>();
        Ok(Self {
            plug_ins: PlugInFactory::new(),
            presets: PresetDiscoveryFactoryWrapper::new(Presets::new()),
        })
    }

    fn declare_factories<'a>(&'a self, builder: &mut EntryFactories<'a>) {
        builder
            .register_factory(&self.plug_ins)
            .register_factory(&self.presets);
    }
}

clack_plugin::clack_export_entry!(BundleEntry);
