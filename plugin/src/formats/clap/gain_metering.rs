//! CLAP's gain-adjustment-metering extension (draft): what the stages take away, for the mixer strips of hosts.

use std::ffi::CStr;

use clap_sys::plugin::clap_plugin;

use super::instance::Instance;

/// The name of the extension, which clap-sys 0.5.0 lacks.
pub const NAME: &CStr = c"clap.gain-adjustment-metering/0";

/// `clap_plugin_gain_adjustment_metering` of the header `ext/draft/gain-adjustment-metering.h`.
#[repr(C)]
pub struct GainAdjustmentMetering {
    get: unsafe extern "C" fn(*const clap_plugin) -> f64,
}

/// The extension.
pub const EXTENSION: GainAdjustmentMetering = GainAdjustmentMetering { get };

/// \[audio-thread\] The gain in dB, 0 or negative, without makeup.
unsafe extern "C" fn get(plugin: *const clap_plugin) -> f64 {
    // SAFETY: a host passes the pointer that it got, until it destroys the insert.
    unsafe { Instance::of(plugin) }.map_or(0.0, |instance| f64::from(instance.link.gain_db()))
}
