//! The host's menu for a parameter, which the editor asks for: the host's side of CLAP's context-menu extension.

use clap_sys::ext::context_menu::{
    CLAP_CONTEXT_MENU_TARGET_KIND_PARAM, CLAP_EXT_CONTEXT_MENU, CLAP_EXT_CONTEXT_MENU_COMPAT,
    clap_context_menu_target, clap_host_context_menu,
};
use clap_sys::host::clap_host;

use super::instance::Instance;
use super::main_thread::Waiting;
use super::params;
use crate::editor::{MenuHost, MenuRequest};

/// The host's menu, and the one that waits for the main thread.
pub struct ClapMenu(Waiting<MenuRequest>);

impl ClapMenu {
    /// The menu of `host`, which stays valid until this is disconnected from the editor.
    pub fn new(host: *const clap_host) -> Self {
        Self(Waiting::new(host))
    }

    /// The host's extension, if it has one. From `init` on, on the main thread.
    fn extension(&self) -> Option<&clap_host_context_menu> {
        let host = self.0.host();
        // SAFETY: the host is valid, and CLAP has what it answers live as long.
        unsafe {
            let get_extension = (*host).get_extension?;
            [CLAP_EXT_CONTEXT_MENU, CLAP_EXT_CONTEXT_MENU_COMPAT]
                .iter()
                .find_map(|name| {
                    get_extension(host, name.as_ptr())
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
        can_popup.is_some_and(|can_popup| unsafe { can_popup(self.0.host()) })
    }

    fn show(&self, request: MenuRequest) {
        self.0.post(request);
    }
}

impl Instance {
    /// \[main-thread\] Shows the menu that waits, if the window that asked for it is still open.
    pub fn show_host_menu(&self) {
        let is_open = self.link.editor().is_some_and(|editor| editor.is_open());
        let Some(request) = self.menu.0.take().filter(|_| is_open) else {
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
