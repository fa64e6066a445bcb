//! CLAP's latency extension: the reported latency changes within `activate` alone.
//!
//! The framework (nice-plug 0.4.2) changes the latency that a host reads while the plug-in is active, and calls
//! `clap_host_latency.changed` outside `activate` where the host deactivates before its next main-thread callback. CLAP
//! allows neither. So the insert does not report its latency to the framework in CLAP, and this extension takes the place
//! of the framework's.

use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

use clap_sys::ext::latency::{CLAP_EXT_LATENCY, clap_host_latency};
use clap_sys::host::clap_host;

/// The latency that the host knows.
#[derive(Debug, Default)]
pub struct ReportedLatency {
    samples: AtomicU32,
    restart_requested: AtomicBool,
}

impl ReportedLatency {
    /// The reported latency, in samples.
    pub fn samples(&self) -> u32 {
        self.samples.load(Ordering::Acquire)
    }

    /// \[main-thread & being-activated\] Reports the latency of the engine that was made just now.
    ///
    /// # Safety
    ///
    /// `host` is valid.
    pub unsafe fn report(&self, samples: u32, host: *const clap_host) {
        self.restart_requested.store(false, Ordering::Release);
        if self.samples.swap(samples, Ordering::AcqRel) == samples {
            return;
        }
        // SAFETY: `host` is valid by the caller's promise, and its extensions live as long.
        unsafe {
            let extension = (*host).get_extension.and_then(|get| {
                get(host, CLAP_EXT_LATENCY.as_ptr())
                    .cast::<clap_host_latency>()
                    .as_ref()
            });
            if let Some(changed) = extension.and_then(|extension| extension.changed) {
                changed(host);
            }
        }
    }

    /// \[audio-thread\] Asks for a restart, once, where the engine's latency is not the reported one.
    ///
    /// # Safety
    ///
    /// `host` is valid.
    pub unsafe fn request_restart_if_changed(&self, samples: u32, host: *const clap_host) {
        if samples == self.samples() || self.restart_requested.swap(true, Ordering::AcqRel) {
            return;
        }
        // SAFETY: `host` is valid by the caller's promise; `request_restart` is [thread-safe].
        unsafe {
            if let Some(request_restart) = (*host).request_restart {
                request_restart(host);
            }
        }
    }
}
