//! Messages of Windows: plug-ins post work for the host's main thread to hidden windows of their own, editors are drawn as
//! they are told to, and the host's message loop hands all of it out. Other systems have none.

use std::cell::Cell;

thread_local! {
    static FRAMES: Cell<u64> = const { Cell::new(0) };
}

/// How often a window of this thread was told to draw itself.
pub fn frames() -> u64 {
    FRAMES.get()
}

/// Hands out the messages that wait for this thread, up to a frame: where an editor takes longer to draw one than until the
/// next is due, a message always waits.
#[cfg(windows)]
pub fn hand_out() {
    use windows_sys::Win32::UI::WindowsAndMessaging::{
        DispatchMessageW, MSG, PM_REMOVE, PeekMessageW, TranslateMessage, WM_PAINT,
    };
    // SAFETY: a message is numbers and handles, all of which may be zero; the functions take and fill one of this thread.
    unsafe {
        let mut message: MSG = std::mem::zeroed();
        while PeekMessageW(&raw mut message, std::ptr::null_mut(), 0, 0, PM_REMOVE) != 0 {
            TranslateMessage(&raw const message);
            DispatchMessageW(&raw const message);
            if message.message == WM_PAINT {
                FRAMES.set(FRAMES.get() + 1);
                return;
            }
        }
    }
}

/// Nothing waits.
#[cfg(not(windows))]
pub fn hand_out() {}
