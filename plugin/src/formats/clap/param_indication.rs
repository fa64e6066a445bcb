//! CLAP's param-indication extension: the editor shows which parameters the host automates, and which a controller moves.

use std::ffi::{CStr, c_char};

use clap_sys::color::clap_color;
use clap_sys::ext::param_indication::{
    CLAP_EXT_PARAM_INDICATION, CLAP_EXT_PARAM_INDICATION_COMPAT, CLAP_PARAM_INDICATION_AUTOMATION_OVERRIDING,
    CLAP_PARAM_INDICATION_AUTOMATION_PLAYING, CLAP_PARAM_INDICATION_AUTOMATION_PRESENT,
    CLAP_PARAM_INDICATION_AUTOMATION_RECORDING, clap_plugin_param_indication,
};
use clap_sys::id::clap_id;
use clap_sys::plugin::clap_plugin;

use super::instance::Instance;
use super::params;
use crate::editor::{Automation, Indication};

/// The names of the extension: the standard's, and the draft's, which older hosts ask for.
pub const NAMES: [&CStr; 2] = [CLAP_EXT_PARAM_INDICATION, CLAP_EXT_PARAM_INDICATION_COMPAT];

/// The extension.
pub static EXTENSION: clap_plugin_param_indication = clap_plugin_param_indication {
    set_mapping: Some(set_mapping),
    set_automation: Some(set_automation),
};

/// The longest name of a controller that is shown, characters.
const MOST_NAME_CHARACTERS: usize = 80;

/// \[main-thread\] The host's colour is not used: in the editor a colour has one meaning.
unsafe extern "C" fn set_mapping(
    plugin: *const clap_plugin,
    id: clap_id,
    has_mapping: bool,
    _colour: *const clap_color,
    label: *const c_char,
    description: *const c_char,
) {
    // The description is made for hints, the label is shorter.
    let name = [description, label]
        .into_iter()
        // SAFETY: CLAP has a host pass null or a text that ends with zero.
        .map(|text| unsafe { shown(text) })
        .find(|text| !text.is_empty())
        .unwrap_or_default();
    let controller = has_mapping.then_some(name);
    // SAFETY: a host passes the pointer that it got, until it destroys the insert.
    unsafe { change(plugin, id, |indication| indication.controller = controller) };
}

/// \[main-thread\]
unsafe extern "C" fn set_automation(
    plugin: *const clap_plugin,
    id: clap_id,
    state: u32,
    _colour: *const clap_color,
) {
    let automation = match state {
        CLAP_PARAM_INDICATION_AUTOMATION_PRESENT => Automation::Present,
        CLAP_PARAM_INDICATION_AUTOMATION_PLAYING => Automation::Playing,
        CLAP_PARAM_INDICATION_AUTOMATION_RECORDING => Automation::Recording,
        CLAP_PARAM_INDICATION_AUTOMATION_OVERRIDING => Automation::Overridden,
        _ => Automation::None,
    };
    // SAFETY: a host passes the pointer that it got, until it destroys the insert.
    unsafe { change(plugin, id, |indication| indication.automation = automation) };
}

/// Changes what is said about a parameter; does nothing where there is no such parameter.
///
/// # Safety
///
/// As for [`Instance::of`].
unsafe fn change(plugin: *const clap_plugin, id: clap_id, change: impl FnOnce(&mut Indication)) {
    // SAFETY: the caller's promise.
    let Some(instance) = (unsafe { Instance::of(plugin) }) else {
        return;
    };
    if let (Some(editor), Some(index)) = (instance.link.editor(), params::index_of(instance, id)) {
        editor.indications.change(index, change);
        editor.changes.increment();
    }
}

/// The beginning of a host's text.
///
/// # Safety
///
/// `text` is null or ends with zero.
unsafe fn shown(text: *const c_char) -> String {
    if text.is_null() {
        return String::new();
    }
    // SAFETY: the caller's promise.
    let text = unsafe { CStr::from_ptr(text) }.to_string_lossy();
    text.trim().chars().take(MOST_NAME_CHARACTERS).collect()
}
