//! CLAP's preset-load extension, which nice-plug 0.4.2 lacks: an insert takes a starting point by its word.
//!
//! A host holds a [`Loadable`]: a copy of the framework's `clap_plugin` with some functions of our own. Every function of
//! the framework finds its insert by `plugin_data` alone (nice-plug 0.4.2, `clap/wrapper.rs`), so the copy is as good as
//! the original. A starting point is taken as a saved state is, by the same call and on the same thread.

use std::ffi::{CStr, c_char, c_void};
use std::ptr;
use std::sync::Arc;

use clap_sys::ext::params::CLAP_EXT_PARAMS;
use clap_sys::ext::preset_load::{
    CLAP_EXT_PRESET_LOAD, CLAP_EXT_PRESET_LOAD_COMPAT, clap_host_preset_load, clap_plugin_preset_load,
};
use clap_sys::factory::preset_discovery::CLAP_PRESET_DISCOVERY_LOCATION_PLUGIN;
use clap_sys::host::clap_host;
use clap_sys::plugin::clap_plugin;
use nice_plug::wrapper::clap::Wrapper;

use super::guarding::{self, Guard};
use crate::farewell::Farewell;
use crate::insert::Insert;
use crate::kind::Kind;
use crate::starting_points;

/// The names of the extension: the standard's, and the draft's, which older hosts ask for.
const NAMES: [&CStr; 2] = [CLAP_EXT_PRESET_LOAD, CLAP_EXT_PRESET_LOAD_COMPAT];

/// What a host hears where it asks for a preset that is not here.
const UNKNOWN: &CStr = c"this plug-in has no such starting point";

/// An insert as a host holds it.
#[repr(C)]
pub struct Loadable {
    /// First, so that a pointer to it is a pointer to the whole.
    plugin: clap_plugin,
    /// As the framework made it.
    pub framework: clap_plugin,
    host: *const clap_host,
    pub guard: Guard,
}

/// A new insert of one kind; the host destroys it.
///
/// # Safety
///
/// `host` is valid until then.
pub unsafe fn create<K: Kind>(host: *const clap_host) -> *const clap_plugin {
    // SAFETY: `host` is valid, says the caller.
    let wrapper = unsafe { Wrapper::<Insert<K>>::new(host) };
    // CLAP's tasks run on the host's main thread: there is no farewell to say.
    drop(Farewell::of_last_made());
    let framework = *wrapper.clap_plugin.borrow();
    // SAFETY: the insert was made just now.
    let Some(guard) = (unsafe { Guard::new(&framework) }) else {
        return ptr::null();
    };
    // The framework's own `destroy` takes this count back.
    let _counted = Arc::into_raw(wrapper);
    let plugin = clap_plugin {
        activate: Some(guarding::activate),
        process: Some(guarding::process),
        destroy: Some(destroy),
        get_extension: Some(get_extension::<K>),
        ..framework
    };
    Box::into_raw(Box::new(Loadable {
        plugin,
        framework,
        host,
        guard,
    }))
    .cast()
}

unsafe extern "C" fn destroy(plugin: *const clap_plugin) {
    // SAFETY: `create` made it from a box, and CLAP has a host destroy an insert once.
    let loadable = unsafe { Box::from_raw(plugin.cast_mut().cast::<Loadable>()) };
    if let Some(destroy) = loadable.framework.destroy {
        // SAFETY: the framework's own pair of function and data, for the only time.
        unsafe { destroy(&raw const loadable.framework) };
    }
}

unsafe extern "C" fn get_extension<K: Kind>(
    plugin: *const clap_plugin,
    name: *const c_char,
) -> *const c_void {
    if plugin.is_null() || name.is_null() {
        return ptr::null();
    }
    // SAFETY: CLAP has a host pass a text that ends with zero.
    let asked = unsafe { CStr::from_ptr(name) };
    if NAMES.contains(&asked) {
        return ptr::from_ref(const { &preset_load::<K>() }).cast();
    }
    // SAFETY: a host passes the pointer that `create` gave to it, until it is destroyed.
    let loadable = unsafe { &*plugin.cast::<Loadable>() };
    if asked == CLAP_EXT_PARAMS {
        return ptr::from_ref(&loadable.guard.params).cast();
    }
    loadable
        .framework
        .get_extension
        // SAFETY: the framework's own function; `plugin` carries its data.
        .map_or(ptr::null(), |get| unsafe { get(plugin, name) })
}

const fn preset_load<K: Kind>() -> clap_plugin_preset_load {
    clap_plugin_preset_load {
        from_location: Some(from_location::<K>),
    }
}

/// On the main thread. Presets lie in the plug-in itself, so that a location other than that holds none.
unsafe extern "C" fn from_location<K: Kind>(
    plugin: *const clap_plugin,
    kind: u32,
    location: *const c_char,
    word: *const c_char,
) -> bool {
    if plugin.is_null() {
        return false;
    }
    // SAFETY: a host passes the pointer that `create` gave to it, until it is destroyed.
    let loadable = unsafe { &*plugin.cast::<Loadable>() };
    let asked = (kind == CLAP_PRESET_DISCOVERY_LOCATION_PLUGIN && !word.is_null())
        // SAFETY: CLAP has a host pass a text that ends with zero.
        .then(|| unsafe { CStr::from_ptr(word) });
    let found = asked
        .and_then(|word| starting_points::of::<K>().find(|point| point.word.as_bytes() == word.to_bytes()));
    // SAFETY: `create::<K>` set `plugin_data` to a counted wrapper of this kind, which `destroy` alone gives back.
    let wrapper = unsafe { &*loadable.plugin.plugin_data.cast::<Wrapper<Insert<K>>>() };
    let taken = found.is_some_and(|point| wrapper.set_state_inner(&mut point.state()));
    // SAFETY: the host's own pointers, handed back during its own call.
    unsafe { tell(loadable.host, taken, (kind, location, word)) };
    taken
}

/// Tells the host, if it wants to know, which preset stands now or could not be loaded.
///
/// # Safety
///
/// `host` and the texts in `preset` are valid, or null in the case of the texts.
unsafe fn tell(host: *const clap_host, taken: bool, preset: (u32, *const c_char, *const c_char)) {
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
        }) if taken => {
            // SAFETY: as above.
            unsafe { loaded(host, kind, location, word) }
        }
        Some(clap_host_preset_load {
            on_error: Some(on_error),
            ..
        }) if !taken => {
            // SAFETY: as above. 0: no error of the operating system.
            unsafe { on_error(host, kind, location, word, 0, UNKNOWN.as_ptr()) }
        }
        _ => {}
    }
}
