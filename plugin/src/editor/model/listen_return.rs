//! Listen returns to Output when the window closes, so that nobody later wonders why a track hisses.
//!
//! The parameter can be set on the main thread only, and not while the window is being destroyed. The audio thread sees
//! the window closed, plays the output from that block on, and asks the main thread to set the parameter.

use siskin_dsp::Listen;

/// Tracks the return of Listen to Output, block by block.
#[derive(Debug, Clone, Copy, Default)]
pub struct ListenReturn {
    was_open: bool,
    active: bool,
    requested: bool,
}

impl ListenReturn {
    /// Whether the output must be played, whatever Listen says. Call once a block.
    pub fn is_active(&mut self, window_open: bool, listen: Listen) -> bool {
        let closed_now = self.was_open && !window_open;
        self.was_open = window_open;
        if closed_now {
            (self.active, self.requested) = (true, false);
        }
        self.active &= !window_open && listen != Listen::Output;
        self.active
    }

    /// Whether this is the block in which to ask the main thread to set the parameter.
    pub fn take_request(&mut self) -> bool {
        let request = self.active && !self.requested;
        self.requested = self.active;
        request
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn output_plays_from_the_closing_until_listen_has_returned() {
        let mut listen_return = ListenReturn::default();
        assert!(!listen_return.is_active(true, Listen::Removed));
        assert!(!listen_return.take_request());
        assert!(listen_return.is_active(false, Listen::Removed));
        assert!(listen_return.take_request());
        assert!(listen_return.is_active(false, Listen::Removed));
        assert!(!listen_return.take_request());
        assert!(!listen_return.is_active(false, Listen::Output));
        assert!(
            !listen_return.is_active(false, Listen::Removed),
            "the host set it again on purpose"
        );
    }

    #[test]
    fn without_a_window_listen_is_never_overridden() {
        let mut listen_return = ListenReturn::default();
        assert!((0..3).all(|_| !listen_return.is_active(false, Listen::Detector)));
        assert!(!listen_return.take_request());
    }
}
