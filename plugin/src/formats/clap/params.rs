//! The framework's `params` extension with its index checked.

use clap_sys::ext::params::{CLAP_EXT_PARAMS, clap_param_info, clap_plugin_params};
use clap_sys::id::clap_id;
use clap_sys::plugin::clap_plugin;

use super::instance::Instance;

/// The framework's extension of the insert `framework`.
///
/// # Safety
///
/// `framework` is one of the framework's inserts, and alive.
pub unsafe fn of_framework(framework: &clap_plugin) -> Option<clap_plugin_params> {
    // SAFETY: `get_extension` may be called on a living insert, and what it returns lives as long.
    unsafe {
        framework.get_extension?(framework, CLAP_EXT_PARAMS.as_ptr())
            .cast::<clap_plugin_params>()
            .as_ref()
            .copied()
    }
}

/// The extension that a host gets in place of `framework`.
pub fn checked(framework: clap_plugin_params) -> clap_plugin_params {
    clap_plugin_params {
        get_info: Some(get_info),
        ..framework
    }
}

/// The id of the parameter at `index`, in the order of the signal. On the main thread.
pub fn id_at(instance: &Instance, index: usize) -> Option<clap_id> {
    let plugin = &raw const instance.plugin;
    // SAFETY: the instance lives; all zeroes are a valid description, and there is room for the answer.
    unsafe {
        let mut info: clap_param_info = std::mem::zeroed();
        get_info(plugin, u32::try_from(index).ok()?, &raw mut info).then_some(info.id)
    }
}

/// The place of the parameter with this id in the order of the signal. On the main thread.
pub fn index_of(instance: &Instance, id: clap_id) -> Option<usize> {
    let ids = (0..).map_while(|index| id_at(instance, index));
    ids.enumerate()
        .find(|&(_, known)| known == id)
        .map(|(index, _)| index)
}

/// \[main-thread\] The framework reads one parameter behind the last where `index` is the count.
unsafe extern "C" fn get_info(plugin: *const clap_plugin, index: u32, info: *mut clap_param_info) -> bool {
    // SAFETY: a host passes the pointer that it got, until it destroys the insert.
    let Some(instance) = (unsafe { Instance::of(plugin) }) else {
        return false;
    };
    let params = &instance.framework_params;
    // SAFETY: the framework's functions, on an instance that carries its data.
    unsafe {
        params.count.is_some_and(|count| index < count(plugin))
            && params
                .get_info
                .is_some_and(|get_info| get_info(plugin, index, info))
    }
}
