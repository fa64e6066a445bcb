//! The CLAP side of the bundle.
//!
//! `nice_export_clap!` (nice-plug 0.4.2) exports an entry that lists plug-ins alone and cannot be extended; this entry takes
//! its place. [`factory`] does what the macro does, [`discovery`] lists the starting points as presets. A host holds an
//! [`instance`]: the framework's plug-in with functions of this folder in place of some of its own. [`lifecycle`] makes and
//! ends it, [`process`], [`audio_ports`], [`events`], [`params`] and [`state`] check what the host passes. [`latency`],
//! [`preset_load`], [`remote_controls`], [`gain_metering`] and [`param_indication`] are extensions, [`context_menu`] and
//! [`window_size`] use those of the host.

mod audio_ports;
mod context_menu;
mod discovery;
mod events;
mod factory;
mod gain_metering;
mod instance;
mod latency;
mod lifecycle;
mod main_thread;
mod param_indication;
mod params;
mod preset_load;
mod process;
pub mod remote_controls;
mod state;
mod window_size;

use std::ffi::CStr;

use clack_extensions::preset_discovery::prelude::PresetDiscoveryFactoryWrapper;
use clack_plugin::entry::prelude::*;
use nice_plug::wrapper::setup_logger;

use crate::insert::{Siskin, SiskinFollow};
use discovery::Presets;
use factory::PlugInFactory;

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
