//! An insert as a CLAP host holds it.

use std::sync::Arc;

use clap_sys::ext::params::clap_plugin_params;
use clap_sys::host::clap_host;
use clap_sys::plugin::clap_plugin;

use super::context_menu::ClapMenu;
use super::latency::ReportedLatency;
use super::main_thread::Waiting;
use crate::editor::HostSize;
use crate::formats::host_guard::HostGuard;
use crate::formats::link::Link;

/// A copy of the framework's `clap_plugin` with some functions of this plug-in.
///
/// Every function of the framework finds its insert by `plugin_data` alone (nice-plug 0.4.2, `clap/wrapper.rs`), so a copy
/// serves it as well as the original.
#[repr(C)]
pub struct Instance {
    /// What the host calls. First, so that a pointer to it is a pointer to the whole.
    pub plugin: clap_plugin,
    /// As the framework made it.
    pub framework: clap_plugin,
    /// The framework's parameters.
    pub framework_params: clap_plugin_params,
    /// The parameters that the host gets.
    pub params: clap_plugin_params,
    /// Valid as long as the insert.
    pub host: *const clap_host,
    /// Checks the host's blocks.
    pub guard: HostGuard,
    /// The latency that the host knows.
    pub latency: ReportedLatency,
    /// The host's menu for a parameter.
    pub menu: Arc<ClapMenu>,
    /// A size of the window that waits to be asked for.
    pub size: Arc<Waiting<HostSize>>,
    /// Shared with the insert.
    pub link: Arc<Link>,
}

impl Instance {
    /// Hands the instance to the host.
    pub fn into_raw(self) -> *const clap_plugin {
        Box::into_raw(Box::new(self)).cast()
    }

    /// The instance behind a host's pointer; `None` where that is null.
    ///
    /// # Safety
    ///
    /// `plugin` is null, or came from [`Self::into_raw`] and is not destroyed: CLAP's rule for every call on a plug-in.
    pub unsafe fn of<'a>(plugin: *const clap_plugin) -> Option<&'a Self> {
        // SAFETY: the caller's promise.
        unsafe { plugin.cast::<Self>().as_ref() }
    }

    /// Takes the instance back from the host.
    ///
    /// # Safety
    ///
    /// `plugin` came from [`Self::into_raw`], and no call on it follows.
    pub unsafe fn from_raw(plugin: *const clap_plugin) -> Box<Self> {
        // SAFETY: `into_raw` made it from a box; the caller gives it up.
        unsafe { Box::from_raw(plugin.cast_mut().cast::<Self>()) }
    }
}
