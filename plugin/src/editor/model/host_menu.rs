//! The host's own menu for a control: automation, controller assignment, or whatever else the host has in it.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Which menu is wanted, and where.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MenuRequest {
    /// The parameter, counted in the order of the signal.
    pub parameter: usize,
    /// From the window's left edge, pixels; on macOS points.
    pub x: i32,
    /// From the window's upper edge, pixels; on macOS points.
    pub y: i32,
}

/// What the format layer does for the menu.
pub trait MenuHost: Send + Sync {
    /// Whether the host shows a menu now. On the host's UI thread.
    fn can_show(&self) -> bool;

    /// Asks for the menu, on any thread. The host shows it later, on its UI thread: it may wait there for a choice.
    fn show(&self, request: MenuRequest);
}

/// The host's menu, as the editor sees it.
#[derive(Default)]
pub struct HostMenu {
    host: Mutex<Option<Arc<dyn MenuHost>>>,
    offered: AtomicBool,
}

impl HostMenu {
    /// Connects the format layer.
    pub fn connect(&self, host: Arc<dyn MenuHost>) {
        *self.lock() = Some(host);
    }

    /// Disconnects it, once no call of it runs: the insert ends.
    pub fn disconnect(&self) {
        *self.lock() = None;
    }

    /// Asks whether the host shows a menu. On the host's UI thread, after the window is made.
    pub fn look(&self) {
        // Not under the lock: the host may call back.
        let host = self.lock().clone();
        let offered = host.is_some_and(|host| host.can_show());
        self.offered.store(offered, Ordering::Release);
    }

    /// Whether the host shows a menu, as of the last [`Self::look`].
    pub fn is_offered(&self) -> bool {
        self.offered.load(Ordering::Acquire)
    }

    /// Asks for the menu.
    pub fn show(&self, request: MenuRequest) {
        if let Some(host) = &*self.lock() {
            host.show(request);
        }
    }

    fn lock(&self) -> MutexGuard<'_, Option<Arc<dyn MenuHost>>> {
        self.host.lock().unwrap_or_else(PoisonError::into_inner)
    }
}
