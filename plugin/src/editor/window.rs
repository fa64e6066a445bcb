//! What outlives one opening of the window: whether it is open, the way to the host, the two settings that are compared,
//! and the way back from Listen.

use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use nice_plug::context::gui::GuiContext;
use nice_plug::params::Param;
use siskin_dsp::Listen;

use super::compare::Compare;
use super::watch::Changes;
use crate::params::OutputParams;

/// The index of "Output" among the choices of Listen.
const LISTEN_TO_OUTPUT: i32 = 0;

/// What the audio thread asks of the main thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EditorTask {
    /// Set Listen to Output.
    ListenToOutput,
}

/// The window of one insert, open or not. The audio thread reads whether it is open and nothing else.
#[derive(Default)]
pub struct Window {
    open: Arc<AtomicBool>,
    /// The way to the host's parameters, from the first opening on.
    host: Mutex<Option<GuiContext>>,
    compare: Mutex<Compare>,
    /// The system's scale as the last open window had it, bits of an `f32`; 0 before the first.
    scale: AtomicU32,
    pub(super) changes: Changes,
}

/// The window is open while this lives.
pub struct Opened(Arc<AtomicBool>);

impl Drop for Opened {
    fn drop(&mut self) {
        self.0.store(false, Ordering::Release);
    }
}

impl Window {
    /// Whether the window is open. Never waits.
    pub fn is_open(&self) -> bool {
        self.open.load(Ordering::Acquire)
    }

    /// Opens it, until what this gives is dropped.
    pub(super) fn open(&self, host: GuiContext) -> Opened {
        *locked(&self.host) = Some(host);
        self.open.store(true, Ordering::Release);
        Opened(self.open.clone())
    }

    /// Pixels of the system to a pixel at a scale of 1.
    pub(super) fn scale(&self) -> f32 {
        match f32::from_bits(self.scale.load(Ordering::Relaxed)) {
            scale if scale > 0.0 => scale,
            _ => 1.0,
        }
    }

    pub(super) fn set_scale(&self, scale: f32) {
        self.scale.store(scale.to_bits(), Ordering::Relaxed);
    }

    /// The two settings that are compared.
    pub(super) fn compare(&self) -> MutexGuard<'_, Compare> {
        locked(&self.compare)
    }

    /// Sets Listen to Output, as one gesture of the host. On the main thread.
    pub fn listen_to_output(&self, params: &OutputParams) {
        let host = locked(&self.host).clone();
        if let Some(host) = host.filter(|_| params.listen.modulated_plain_value() != LISTEN_TO_OUTPUT) {
            let setter = host.param_setter();
            setter.begin_set_parameter(&params.listen);
            setter.set_parameter(&params.listen, LISTEN_TO_OUTPUT);
            setter.end_set_parameter(&params.listen);
        }
    }
}

/// What a thread left that panicked is still good to read: plain values, whole at any time.
fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Listen returns to Output when its window closes: nobody should wonder later why a track hisses. The parameter
/// itself can be set on the main thread only, and not while the window is being taken down; so the audio
/// thread, which sees the window closed, plays the output from that block on and asks for the parameter to follow.
#[derive(Debug, Clone, Copy, Default)]
pub struct ListenReturn {
    was_open: bool,
    due: bool,
    asked: bool,
}

impl ListenReturn {
    /// Whether the output shall be heard, whatever Listen says. To be called once a block.
    pub fn is_due(&mut self, open: bool, listen: Listen) -> bool {
        let closed_now = self.was_open && !open;
        self.was_open = open;
        if closed_now {
            (self.due, self.asked) = (true, false);
        }
        self.due &= !open && listen != Listen::Output;
        self.due
    }

    /// Whether this is the block in which to ask for the parameter to follow.
    pub fn shall_ask(&mut self) -> bool {
        let ask = self.due && !self.asked;
        self.asked = self.due;
        ask
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_output_is_heard_from_the_closing_until_listen_has_returned() {
        let mut listen_return = ListenReturn::default();
        assert!(!listen_return.is_due(true, Listen::Removed));
        assert!(!listen_return.shall_ask());
        assert!(listen_return.is_due(false, Listen::Removed));
        assert!(listen_return.shall_ask());
        assert!(listen_return.is_due(false, Listen::Removed));
        assert!(!listen_return.shall_ask());
        assert!(!listen_return.is_due(false, Listen::Output));
        assert!(
            !listen_return.is_due(false, Listen::Removed),
            "set again by the host: that is meant"
        );
    }

    #[test]
    fn a_host_without_a_window_may_listen_to_anything() {
        let mut listen_return = ListenReturn::default();
        assert!((0..3).all(|_| !listen_return.is_due(false, Listen::Detector)));
        assert!(!listen_return.shall_ask());
    }
}
