//! The size of the window, for which the editor may ask the host. The window is the host's: until the host sets the size,
//! nothing changes.

use std::sync::{Mutex, PoisonError};

/// A size of the window in the host's unit: pixels, on macOS points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HostSize {
    /// From left to right.
    pub width: u32,
    /// From top to bottom.
    pub height: u32,
}

/// Asks the host for a size, on any thread; the host may follow later, or not at all.
type Ask = Box<dyn Fn(HostSize) + Send + Sync>;

/// The way to the host, where its format has one.
#[derive(Default)]
pub struct SizeRequests(Mutex<Option<Ask>>);

impl SizeRequests {
    /// Connects the format layer.
    pub fn connect(&self, ask: impl Fn(HostSize) + Send + Sync + 'static) {
        self.set(Some(Box::new(ask)));
    }

    /// Disconnects it, once no call of it runs: the insert ends.
    pub fn disconnect(&self) {
        self.set(None);
    }

    /// Asks for a size.
    pub fn ask(&self, size: HostSize) {
        if let Some(ask) = &*self.0.lock().unwrap_or_else(PoisonError::into_inner) {
            ask(size);
        }
    }

    fn set(&self, ask: Option<Ask>) {
        *self.0.lock().unwrap_or_else(PoisonError::into_inner) = ask;
    }
}
