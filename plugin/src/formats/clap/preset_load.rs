//! CLAP's preset-load extension, which nice-plug 0.4.2 lacks: an insert loads a starting point by its word, or a
//! person's own by its file, by the same call and on the same thread as a saved state.

use std::ffi::{CStr, c_char};
use std::path::Path;

use clap_sys::ext::preset_load::{
    CLAP_EXT_PRESET_LOAD, CLAP_EXT_PRESET_LOAD_COMPAT, clap_host_preset_load, clap_plugin_preset_load,
};
use clap_sys::factory::preset_discovery::{
    CLAP_PRESET_DISCOVERY_LOCATION_FILE, CLAP_PRESET_DISCOVERY_LOCATION_PLUGIN,
};
use clap_sys::host::clap_host;
use clap_sys::plugin::clap_plugin;
use nice_plug::prelude::PluginState;
use nice_plug::wrapper::clap::Wrapper;

use super::instance::Instance;
use crate::insert::Insert;
use crate::kind::Kind;
use crate::params::{InsertParams, own_settings, starting_points};

/// The names of the extension: the standard's, and the draft's, which older hosts ask for.
pub const NAMES: [&CStr; 2] = [CLAP_EXT_PRESET_LOAD, CLAP_EXT_PRESET_LOAD_COMPAT];

/// What a host is told where it asks for a preset that is not here.
const UNKNOWN: &CStr = c"this plug-in has no such starting point";
/// What a host is told where a file is none that the plug-in wrote.
const NO_PRESET: &CStr = c"this file is no preset of this plug-in";

/// The extension of an insert of one kind.
pub const fn extension<K: Kind>() -> clap_plugin_preset_load {
    clap_plugin_preset_load {
        from_location: Some(from_location::<K>),
    }
}

/// The state that a host asks for: a starting point by its word, or a preset file by its path.
///
/// # Safety
///
/// `location` and `word` are null or texts that end with zero.
unsafe fn state<K: Kind>(
    params: &InsertParams,
    kind: u32,
    location: *const c_char,
    word: *const c_char,
) -> Option<PluginState> {
    // SAFETY: the caller's promise.
    let text = |text: *const c_char| (!text.is_null()).then(|| unsafe { CStr::from_ptr(text) });
    if kind == CLAP_PRESET_DISCOVERY_LOCATION_FILE {
        let path = Path::new(text(location)?.to_str().ok()?);
        let json = siskin_presets::load(K::NAME, path)?;
        return own_settings::from_json(&json, params);
    }
    let asked = text(word).filter(|_| kind == CLAP_PRESET_DISCOVERY_LOCATION_PLUGIN)?;
    starting_points::by_word::<K>(asked.to_bytes()).map(|point| point.state())
}

/// \[main-thread\]
unsafe extern "C" fn from_location<K: Kind>(
    plugin: *const clap_plugin,
    kind: u32,
    location: *const c_char,
    word: *const c_char,
) -> bool {
    // SAFETY: a host passes the pointer that it got, until it destroys the insert.
    let Some(instance) = (unsafe { Instance::of(plugin) }) else {
        return false;
    };
    // SAFETY: CLAP has a host pass texts that end with zero, or null.
    let found = unsafe { state::<K>(&InsertParams::of::<K>(), kind, location, word) };
    // SAFETY: the framework set `plugin_data` to a counted wrapper of this kind, which its `destroy` alone gives back.
    let wrapper = unsafe { &*instance.plugin.plugin_data.cast::<Wrapper<Insert<K>>>() };
    let loaded = found.is_some_and(|mut state| wrapper.set_state_inner(&mut state));
    // SAFETY: the host's own pointers, handed back during its own call.
    unsafe { report(instance.host, loaded, (kind, location, word)) };
    loaded
}

/// Tells the host, where it offers the extension, which preset is loaded now or could not be loaded.
///
/// # Safety
///
/// `host` and the texts in `preset` are valid, or null in the case of the texts.
unsafe fn report(host: *const clap_host, success: bool, preset: (u32, *const c_char, *const c_char)) {
    let (kind, location, word) = preset;
    // SAFETY: `host` is valid, says the caller; CLAP has what it answers live as long.
    let listener = unsafe {
        let get_extension = (*host).get_extension;
        NAMES.iter().find_map(|name| {
            get_extension?(host, name.as_ptr())
                .cast::<clap_host_preset_load>()
                .as_ref()
        })
    };
    match listener {
        Some(clap_host_preset_load {
            loaded: Some(loaded), ..
        }) if success => {
            // SAFETY: the pointers that the host passed, during its own call.
            unsafe { loaded(host, kind, location, word) }
        }
        Some(clap_host_preset_load {
            on_error: Some(on_error),
            ..
        }) if !success => {
            let said = if kind == CLAP_PRESET_DISCOVERY_LOCATION_FILE {
                NO_PRESET
            } else {
                UNKNOWN
            };
            // SAFETY: as for `loaded`. 0: no error of the operating system.
            unsafe { on_error(host, kind, location, word, 0, said.as_ptr()) }
        }
        _ => {}
    }
}
