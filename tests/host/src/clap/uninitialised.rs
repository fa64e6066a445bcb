//! An insert before `init`, as a host has it that destroys what it could not initialise.

use std::ffi::{CStr, CString, c_char, c_void};
use std::ptr;
use std::sync::atomic::{AtomicUsize, Ordering};

use anyhow::{Context, Result, ensure};
use clack_host::plugin::PluginInstanceError;
use clap_sys::host::clap_host;
use clap_sys::plugin::clap_plugin;
use clap_sys::version::CLAP_VERSION;

use super::Bundle;

/// An insert in a host that offers no extension; its end destroys it.
pub struct Uninitialised {
    plugin: *const clap_plugin,
    host: Box<BareHost>,
}

/// A host that counts what is asked of it.
#[repr(C)]
struct BareHost {
    raw: clap_host,
    callbacks: AtomicUsize,
}

unsafe extern "C" fn get_extension(host: *const clap_host, _id: *const c_char) -> *const c_void {
    // SAFETY: the plug-in passes the host that it was made with, the first field of a `BareHost`.
    unsafe { note(host) };
    ptr::null()
}

unsafe extern "C" fn note(host: *const clap_host) {
    // SAFETY: the plug-in passes the host that it was made with, the first field of a `BareHost`.
    unsafe {
        (*host.cast::<BareHost>())
            .callbacks
            .fetch_add(1, Ordering::AcqRel)
    };
}

impl Bundle {
    /// A new insert of the plug-in with the id `id`, not initialised.
    pub fn uninitialised(&self, id: &str) -> Result<Uninitialised> {
        let host = Box::new(BareHost {
            raw: clap_host {
                clap_version: CLAP_VERSION,
                host_data: ptr::null_mut(),
                name: c"Bare host".as_ptr(),
                vendor: c"Siskin".as_ptr(),
                url: c"".as_ptr(),
                version: c"1".as_ptr(),
                get_extension: Some(get_extension),
                request_restart: Some(note),
                request_process: Some(note),
                request_callback: Some(note),
            },
            callbacks: AtomicUsize::new(0),
        });
        let missing = PluginInstanceError::MissingPluginFactory;
        let factory = self.entry().get_plugin_factory().context(missing)?.raw();
        let id = CString::new(id)?;
        let create = factory.get().create_plugin.context(missing)?;
        // SAFETY: the host lives as long as the insert, and the id ends with zero.
        let plugin = unsafe { create(factory.as_ptr(), &raw const host.raw, id.as_ptr()) };
        ensure!(!plugin.is_null(), "the bundle makes no plug-in of that id");
        Ok(Uninitialised { plugin, host })
    }
}

impl Uninitialised {
    /// Whether it answers with an extension.
    pub fn has_extension(&self, id: &CStr) -> bool {
        // SAFETY: the insert lives until the end of this, and the id ends with zero.
        unsafe {
            (*self.plugin)
                .get_extension
                .is_some_and(|get| !get(self.plugin, id.as_ptr()).is_null())
        }
    }

    /// Initialises it; whether it took that.
    pub fn init(&mut self) -> bool {
        // SAFETY: the insert lives until the end of this; tests call it once.
        unsafe { (*self.plugin).init.is_some_and(|init| init(self.plugin)) }
    }

    /// How often it has called its host.
    pub fn callbacks(&self) -> usize {
        self.host.callbacks.load(Ordering::Acquire)
    }
}

impl Drop for Uninitialised {
    fn drop(&mut self) {
        // SAFETY: the insert's last call, for the only time.
        unsafe {
            if let Some(destroy) = (*self.plugin).destroy {
                destroy(self.plugin);
            }
        }
    }
}
