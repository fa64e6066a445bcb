//! Makes an insert, ends it, and gives out its extensions.

use std::ffi::{CStr, c_char, c_void};
use std::ptr;
use std::sync::Arc;

use clap_sys::ext::audio_ports::CLAP_EXT_AUDIO_PORTS;
use clap_sys::ext::latency::CLAP_EXT_LATENCY;
use clap_sys::ext::params::CLAP_EXT_PARAMS;
use clap_sys::ext::state::CLAP_EXT_STATE;
use clap_sys::host::clap_host;
use clap_sys::plugin::clap_plugin;
use nice_plug::wrapper::clap::Wrapper;

use super::context_menu::ClapMenu;
use super::instance::Instance;
use super::latency::ReportedLatency;
use super::main_thread::Waiting;
use super::{audio_ports, gain_metering, param_indication, params, preset_load, process, state};
use crate::formats::host_guard::HostGuard;
use crate::formats::link::Link;
use crate::insert::Insert;
use crate::kind::Kind;

/// A new insert of one kind; null where the framework lacks its parameters. The host destroys it.
///
/// # Safety
///
/// `host` is valid until then.
pub unsafe fn create<K: Kind>(host: *const clap_host) -> *const clap_plugin {
    // SAFETY: the caller's promise.
    let wrapper = unsafe { Wrapper::<Insert<K>>::new(host) };
    let link = Link::of_newest_insert();
    let framework = *wrapper.clap_plugin.borrow();
    // SAFETY: the insert was made just now.
    let Some(framework_params) = (unsafe { params::of_framework(&framework) }) else {
        return ptr::null();
    };
    // The framework's own `destroy` takes this count back.
    let _counted = Arc::into_raw(wrapper);
    let menu = Arc::new(ClapMenu::new(host));
    let size = Arc::new(Waiting::new(host));
    if let Some(editor) = link.editor() {
        editor.host_menu.connect(menu.clone());
        let asked = size.clone();
        editor.size_requests.connect(move |size| asked.post(size));
    }
    let plugin = clap_plugin {
        activate: Some(process::activate),
        process: Some(process::process),
        destroy: Some(destroy),
        get_extension: Some(get_extension::<K>),
        on_main_thread: Some(on_main_thread),
        ..framework
    };
    Instance {
        plugin,
        framework,
        framework_params,
        params: params::checked(framework_params),
        host,
        guard: HostGuard::default(),
        latency: ReportedLatency::default(),
        menu,
        size,
        link,
    }
    .into_raw()
}

/// \[main-thread\]
unsafe extern "C" fn destroy(plugin: *const clap_plugin) {
    // SAFETY: CLAP has a host destroy an insert once, as the last call.
    let instance = unsafe { Instance::from_raw(plugin) };
    if let Some(editor) = instance.link.editor() {
        editor.host_menu.disconnect();
        editor.size_requests.disconnect();
    }
    if let Some(destroy) = instance.framework.destroy {
        // SAFETY: the framework's own pair of function and data, for the only time.
        unsafe { destroy(&raw const instance.framework) };
    }
}

/// \[main-thread\]
unsafe extern "C" fn on_main_thread(plugin: *const clap_plugin) {
    // SAFETY: a host passes the pointer that it got, until it destroys the insert.
    let Some(instance) = (unsafe { Instance::of(plugin) }) else {
        return;
    };
    if let Some(on_main_thread) = instance.framework.on_main_thread {
        // SAFETY: the framework's function, on an instance that carries its data.
        unsafe { on_main_thread(plugin) };
    }
    instance.show_host_menu();
    instance.resize_window();
}

/// \[thread-safe\]
unsafe extern "C" fn get_extension<K: Kind>(
    plugin: *const clap_plugin,
    name: *const c_char,
) -> *const c_void {
    // SAFETY: a host passes the pointer that it got, until it destroys the insert.
    let Some(instance) = (unsafe { Instance::of(plugin) }) else {
        return ptr::null();
    };
    if name.is_null() {
        return ptr::null();
    }
    // SAFETY: CLAP has a host pass a text that ends with zero.
    let asked = unsafe { CStr::from_ptr(name) };
    if preset_load::NAMES.contains(&asked) {
        return ptr::from_ref(const { &preset_load::extension::<K>() }).cast();
    }
    if asked == CLAP_EXT_STATE {
        return ptr::from_ref(&state::EXTENSION).cast();
    }
    if param_indication::NAMES.contains(&asked) {
        return ptr::from_ref(&param_indication::EXTENSION).cast();
    }
    if asked == gain_metering::NAME {
        return ptr::from_ref(&gain_metering::EXTENSION).cast();
    }
    if asked == CLAP_EXT_AUDIO_PORTS {
        return ptr::from_ref(&audio_ports::EXTENSION).cast();
    }
    if asked == CLAP_EXT_LATENCY {
        return ptr::from_ref(&process::LATENCY).cast();
    }
    if asked == CLAP_EXT_PARAMS {
        return ptr::from_ref(&instance.params).cast();
    }
    instance
        .framework
        .get_extension
        // SAFETY: the framework's function, on an instance that carries its data.
        .map_or(ptr::null(), |get| unsafe { get(plugin, name) })
}
