//! Another size of the window, for which the editor asks the host: the host's side of CLAP's gui extension.
//!
//! The framework's own way has the window resize itself first, which some hosts ignore, follow halfway or fight.

use clap_sys::ext::gui::{CLAP_EXT_GUI, clap_host_gui, clap_plugin_gui};

use super::instance::Instance;
use crate::editor::HostSize;

impl Instance {
    /// \[main-thread\] Asks the host for the size that waits, if the window is still open. A host that agrees need not set
    /// the plug-in's size itself; one that does not leaves everything as it is.
    pub fn resize_window(&self) {
        let is_open = self.link.editor().is_some_and(|editor| editor.is_open());
        let Some(HostSize { width, height }) = self.size.take().filter(|_| is_open) else {
            return;
        };
        // SAFETY: the host is valid, this is its main thread, and CLAP has what both sides answer live as long as they do.
        unsafe {
            let of_host = (*self.host).get_extension.and_then(|get| {
                get(self.host, CLAP_EXT_GUI.as_ptr())
                    .cast::<clap_host_gui>()
                    .as_ref()
            });
            let request = of_host.and_then(|gui| gui.request_resize);
            if !request.is_some_and(|request| request(self.host, width, height)) {
                return;
            }
            let own = self.framework.get_extension.and_then(|get| {
                get(&raw const self.plugin, CLAP_EXT_GUI.as_ptr())
                    .cast::<clap_plugin_gui>()
                    .as_ref()
            });
            if let Some(set_size) = own.and_then(|gui| gui.set_size) {
                set_size(&raw const self.plugin, width, height);
            }
        }
    }
}
