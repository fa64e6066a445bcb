//! The VST3 side of the bundle.
//!
//! `nice_export_vst3!` (nice-plug 0.4.2) exports the framework's class, which cannot be extended; this module takes its
//! place. [`factory`] does what the macro does. Hosts get an [`instance`], whose [`interfaces`] check a call or pass it to
//! the framework; [`process`] checks blocks, [`controller_values`] what the controller was told. [`component_handler`] is the
//! host's handler as the framework sees it, and calls the host on the UI thread, woken by the host's [`run_loop`];
//! [`context_menu`] asks it for the host's menu, [`window_size`] the frame for a size. [`gain_reduction`] is for mixer strips.

mod component_handler;
mod context_menu;
mod controller_values;
mod factory;
mod gain_reduction;
mod instance;
mod interfaces;
mod process;
#[cfg_attr(
    not(all(target_family = "unix", not(target_os = "macos"))),
    path = "no_run_loop.rs"
)]
mod run_loop;
mod state;
mod window_size;

use std::ffi::c_void;

use nice_plug::wrapper::setup_logger;
use nice_plug::wrapper::vst3::vst3::ComWrapper;
use nice_plug::wrapper::vst3::vst3::Steinberg::IPluginFactory;

use crate::insert::{Siskin, SiskinFollow};

/// The first function that a VST3 host calls.
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

/// Called by a host on Linux after it loads the library.
#[cfg(all(target_family = "unix", not(target_os = "macos")))]
#[unsafe(no_mangle)]
pub extern "C" fn ModuleEntry(_library: *mut c_void) -> bool {
    enter()
}

/// Called by a host on Linux before it unloads the library.
#[cfg(all(target_family = "unix", not(target_os = "macos")))]
#[unsafe(no_mangle)]
pub extern "C" fn ModuleExit() -> bool {
    true
}

/// Called by a host on macOS after it loads the bundle.
#[cfg(target_os = "macos")]
#[unsafe(no_mangle)]
pub extern "C" fn bundleEntry(_bundle: *mut c_void) -> bool {
    enter()
}

/// Called by a host on macOS before it unloads the bundle.
#[cfg(target_os = "macos")]
#[unsafe(no_mangle)]
pub extern "C" fn bundleExit() -> bool {
    true
}

/// Called by a host on Windows after it loads the library.
#[cfg(target_os = "windows")]
#[unsafe(no_mangle)]
pub extern "system" fn InitDll() -> bool {
    enter()
}

/// Called by a host on Windows before it unloads the library.
#[cfg(target_os = "windows")]
#[unsafe(no_mangle)]
pub extern "system" fn ExitDll() -> bool {
    true
}
