//! The VST3 side of the bundle: the framework's plug-ins with [`HostGuard`](crate::host_guard::HostGuard) before them.
//!
//! `nice_export_vst3!` (nice-plug 0.4.2) gives out the framework's class, which cannot be added to; this stands in its
//! place. [`factory`] is what the macro does, [`guarded`] is the class that hosts get, and [`forwarding`] and
//! [`forwarding_units`] hand on to the framework what needs no guard; [`relay`] is where the framework hears of the host.
//! All `unsafe` is in these.

mod factory;
mod forwarding;
mod forwarding_units;
mod guarded;
mod relay;

use std::ffi::c_void;

use nice_plug::wrapper::setup_logger;
use nice_plug::wrapper::vst3::vst3::ComWrapper;
use nice_plug::wrapper::vst3::vst3::Steinberg::IPluginFactory;

use crate::{Siskin, SiskinFollow};

/// What a VST3 host asks the library for first.
#[unsafe(no_mangle)]
pub extern "system" fn GetPluginFactory() -> *mut c_void {
    ComWrapper::new(factory::Factory::new())
        .to_com_ptr::<IPluginFactory>()
        .map_or(std::ptr::null_mut(), |factory| factory.into_raw().cast())
}

fn enter() -> bool {
    setup_logger::<Siskin>();
    setup_logger::<SiskinFollow>();
    true
}

/// What a host on Linux calls after it has loaded the library.
#[cfg(all(target_family = "unix", not(target_os = "macos")))]
#[unsafe(no_mangle)]
pub extern "C" fn ModuleEntry(_library: *mut c_void) -> bool {
    enter()
}

/// What a host on Linux calls before it unloads the library.
#[cfg(all(target_family = "unix", not(target_os = "macos")))]
#[unsafe(no_mangle)]
pub extern "C" fn ModuleExit() -> bool {
    true
}

/// What a host on macOS calls after it has loaded the bundle.
#[cfg(target_os = "macos")]
#[unsafe(no_mangle)]
pub extern "C" fn bundleEntry(_bundle: *mut c_void) -> bool {
    enter()
}

/// What a host on macOS calls before it unloads the bundle.
#[cfg(target_os = "macos")]
#[unsafe(no_mangle)]
pub extern "C" fn bundleExit() -> bool {
    true
}

/// What a host on Windows calls after it has loaded the library.
#[cfg(target_os = "windows")]
#[unsafe(no_mangle)]
pub extern "system" fn InitDll() -> bool {
    enter()
}

/// What a host on Windows calls before it unloads the library.
#[cfg(target_os = "windows")]
#[unsafe(no_mangle)]
pub extern "system" fn ExitDll() -> bool {
    true
}
