//! A request of the editor that waits for the main thread.

use std::sync::{Mutex, PoisonError};

use clap_sys::host::clap_host;

/// The newest request, and the host that comes for it.
pub struct Waiting<T> {
    host: *const clap_host,
    request: Mutex<Option<T>>,
}

// SAFETY: CLAP has the host be valid as long as the insert, which disconnects the editor from this before it ends. Other
// threads call `request_callback` alone, which is [thread-safe].
unsafe impl<T: Send> Send for Waiting<T> {}
// SAFETY: as for `Send`.
unsafe impl<T: Send> Sync for Waiting<T> {}

impl<T> Waiting<T> {
    /// Nothing waits yet. `host` stays valid until the editor is disconnected from this.
    pub fn new(host: *const clap_host) -> Self {
        Self {
            host,
            request: Mutex::default(),
        }
    }

    /// The host.
    pub fn host(&self) -> *const clap_host {
        self.host
    }

    /// Leaves a request in place of the one before, and asks the host for a call on its main thread. On any thread.
    pub fn post(&self, request: T) {
        *self.request.lock().unwrap_or_else(PoisonError::into_inner) = Some(request);
        // SAFETY: the host is valid, and `request_callback` is [thread-safe].
        unsafe {
            if let Some(request_callback) = (*self.host).request_callback {
                request_callback(self.host);
            }
        }
    }

    /// The request that waits; forgets it.
    pub fn take(&self) -> Option<T> {
        self.request.lock().unwrap_or_else(PoisonError::into_inner).take()
    }
}
