//! The host's menu for a parameter, which the editor asks for: the host's side of CLAP's context-menu extension.

use std::sync::{Mutex, PoisonError};

use clap_sys::ext::context_menu::{
    CLAP_CONTEXT_MENU_TARGET_KIND_PARAM, CLAP_EXT_CONTEXT_MENU, CLAP_EXT_CONTEXT_MENU_COMPAT,
    clap_context_menu_target, clap_host_context_menu,
};
use clap_sys::host::clap_host;

use super::instance::Instance;
use super::params;
use crate::editor::{MenuHost, MenuRequest};

/// The host's menu, and the one that waits for the main thread.
pub struct ClapMenu {
    host: *const clap_host,
    waiting: Mutex<Option<MenuRequest>>,
}

// SAFETY: CLAP has the host be valid as long as the insert, which disconnects this before it ends. Other threads call
// `request_callback` alone, which is [thread-safe].
unsafe impl Send for ClapMenu {}
// SAFETY: as for `Send`.
unsafe impl Sync for ClapMenu {}

impl ClapMenu {
    /// The menu of `host`, which stays valid until this is disconnected from the editor.
    pub fn new(host: *const clap_host) -> Self {
        Self {
            host,
            waiting: Mutex::default(),
        }
    }

    /// The host's extension, if it has one. From `init` on, on the main thread.
    fn extension(&self) -> Option<&clap_host_context_menu> {
        // SAFETY: the host is valid, and CLAP has what it answers live as long.
        unsafe {
            let get_extension = (*self.host).get_extension?;
            [CLAP_EXT_CONTEXT_MENU, CLAP_EXT_CONTEXT_MENU_COMPAT]
                .iter()
                .find_map(|name| {
                    get_extension(self.host, name.as_ptr())
                        .cast::<clap_host_context_menu>()
                        .as_ref()
                })
        }
    }
}

impl MenuHost for ClapMenu {
    fn can_show(&self) -> bool {
        let extension = self.extension();
        let can_popup = extension
            .filter(|menu| menu.popup.is_some())
            .and_then(|menu| menu.can_popup);
        // SAFETY: the host is valid, and this is its main thread.
        can_popup.is_some_and(|can_popup| unsafe { can_popup(self.host) })
    }

    fn show(&self, request: MenuRequest) {
        *self.waiting.lock().unwrap_or_else(PoisonError::into_inner) = Some(request);
        // SAFETY: the host is valid, and `request_callback` is [thread-safe].
        unsafe {
            if let Some(request_callback) = (*self.host).request_callback {
                request_callback(self.host);
            }
        }
    }
}

impl Instance {
    /// \[main-thread\] Shows the menu that waits, if the window that asked for it is still open.
    pub fn show_host_menu(&self) {
        // The lock ends before the call: the host may wait in it for a choice.
        let waiting = self
            .menu
            .waiting
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .take();
        let is_open = self.link.editor().is_some_and(|editor| editor.is_open());
        let Some(request) = waiting.filter(|_| is_open) else {
            return;
        };
        let popup = self.menu.extension().and_then(|menu| menu.popup);
        if let (Some(popup), Some(id)) = (popup, params::id_at(self, request.parameter)) {
            let target = clap_context_menu_target {
                kind: CLAP_CONTEXT_MENU_TARGET_KIND_PARAM,
                id,
            };
            // SAFETY: the host is valid, this is its main thread, and the target lives as long as the call. The window is
            // inside the host's, so that there is no screen to name.
            unsafe { popup(self.host, &raw const target, 0, request.x, request.y) };
        }
    }
}
