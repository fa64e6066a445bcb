//! A bus of a host, of samples of either size.

use std::ffi::c_void;

/// One bus as a host passes it.
#[derive(Debug, Clone, Copy)]
pub struct HostBus {
    channels: *mut *mut c_void,
    count: usize,
    /// Whether its samples have 64 bits.
    pub(super) wide: bool,
}

impl HostBus {
    /// A bus that the host did not pass.
    pub const MISSING: Self = Self {
        channels: std::ptr::null_mut(),
        count: 0,
        wide: false,
    };

    /// A bus of 32-bit samples: one pointer a channel, each of which may be null.
    pub fn narrow(channels: *mut *mut f32, count: usize) -> Self {
        Self {
            channels: channels.cast(),
            count,
            wide: false,
        }
    }

    /// A bus of 64-bit samples.
    pub fn wide(channels: *mut *mut f64, count: usize) -> Self {
        Self {
            channels: channels.cast(),
            count,
            wide: true,
        }
    }

    /// A channel, if it is there.
    ///
    /// # Safety
    ///
    /// `channels` is null or holds `count` pointers.
    pub(super) unsafe fn channel(&self, index: usize) -> Option<*mut c_void> {
        if self.channels.is_null() || index >= self.count {
            return None;
        }
        // SAFETY: `index < count`, and the list holds `count` pointers.
        let channel = unsafe { *self.channels.add(index) };
        (!channel.is_null()).then_some(channel)
    }
}
