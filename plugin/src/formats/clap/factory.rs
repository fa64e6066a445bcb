//! The plug-ins of the bundle, as CLAP's plug-in factory gives them out.

use std::ffi::{CStr, c_char};
use std::ptr;

use clack_common::factory::plugin::PluginFactory;
use clack_plugin::factory::{FactoryImplementation, FactoryWrapper};
use clap_sys::factory::plugin_factory::clap_plugin_factory;
use clap_sys::host::clap_host;
use clap_sys::plugin::{clap_plugin, clap_plugin_descriptor};
use nice_plug::wrapper::clap::PluginDescriptor;

use super::lifecycle;
use crate::insert::Insert;
use crate::kind::{Following, Kind, Plain};

/// The factory, in the shape that a host calls.
pub struct PlugInFactory {
    wrapper: FactoryWrapper<clap_plugin_factory, PlugIns>,
}

impl PlugInFactory {
    pub fn new() -> Self {
        let raw = clap_plugin_factory {
            get_plugin_count: Some(count),
            get_plugin_descriptor: Some(descriptor),
            create_plugin: Some(create),
        };
        let plug_ins = [PlugIn::of::<Plain>(), PlugIn::of::<Following>()];
        Self {
            wrapper: FactoryWrapper::new(raw, plug_ins),
        }
    }
}

// SAFETY: the wrapper holds the three functions that CLAP asks of a plug-in factory, each made for `PlugIns`, and lives as
// long as the factory.
unsafe impl<'a> FactoryImplementation<'a> for PlugInFactory {
    type Factory = PluginFactory<'a>;
    type Wrapped = PlugIns;

    fn wrapper(&self) -> &FactoryWrapper<clap_plugin_factory, PlugIns> {
        &self.wrapper
    }
}

type PlugIns = [PlugIn; 2];

/// One plug-in: what it says of itself, and how an insert of it is made.
pub struct PlugIn {
    descriptor: PluginDescriptor,
    create: unsafe fn(*const clap_host) -> *const clap_plugin,
}

impl PlugIn {
    fn of<K: Kind>() -> Self {
        Self {
            descriptor: PluginDescriptor::for_plugin::<Insert<K>>(),
            create: lifecycle::create::<K>,
        }
    }
}

unsafe extern "C" fn count(factory: *const clap_plugin_factory) -> u32 {
    let count = |plug_ins: &PlugIns| Ok(plug_ins.len() as u32);
    // SAFETY: a host hands over the pointer that it got from `wrapper`.
    unsafe { FactoryWrapper::handle(factory, count) }.unwrap_or(0)
}

unsafe extern "C" fn descriptor(
    factory: *const clap_plugin_factory,
    index: u32,
) -> *const clap_plugin_descriptor {
    let descriptor = |plug_ins: &PlugIns| {
        Ok(plug_ins.get(index as usize).map_or(ptr::null(), |plug_in| {
            ptr::from_ref(plug_in.descriptor.clap_plugin_descriptor())
        }))
    };
    // SAFETY: as in `count`.
    unsafe { FactoryWrapper::handle(factory, descriptor) }.unwrap_or(ptr::null())
}

unsafe extern "C" fn create(
    factory: *const clap_plugin_factory,
    host: *const clap_host,
    id: *const c_char,
) -> *const clap_plugin {
    if host.is_null() || id.is_null() {
        return ptr::null();
    }
    // SAFETY: CLAP has a host pass a text that ends with zero.
    let id = unsafe { CStr::from_ptr(id) };
    let create = |plug_ins: &PlugIns| {
        let found = plug_ins.iter().find(|plug_in| plug_in.descriptor.clap_id() == id);
        // SAFETY: CLAP has a host keep `host` valid until the insert is destroyed.
        Ok(found.map_or(ptr::null(), |plug_in| unsafe { (plug_in.create)(host) }))
    };
    // SAFETY: as in `count`.
    unsafe { FactoryWrapper::handle(factory, create) }.unwrap_or(ptr::null())
}
