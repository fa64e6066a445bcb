//! What outlives one opening of the window: its size, whether it is open, and the way back from Listen.

use std::sync::{Arc, Mutex};

use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::LogicalSize;
use nice_plug::params::Param;
use nice_plug_egui::EguiEditorState;
use siskin_dsp::Listen;

use crate::params::OutputParams;

/// The size of a new window, logical points.
pub const FIRST_SIZE: LogicalSize<f32> = LogicalSize {
    width: 900.0,
    height: 620.0,
};

/// The least size at which every row can be read, logical points; what does not fit then scrolls.
pub const LEAST_SIZE: LogicalSize<f32> = LogicalSize {
    width: 560.0,
    height: 360.0,
};

/// The index of "Output" among the choices of Listen.
const LISTEN_TO_OUTPUT: i32 = 0;

/// What the audio thread asks of the main thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EditorTask {
    /// Set Listen to Output.
    ListenToOutput,
}

/// The window of one insert, open or not.
pub struct Window {
    pub(super) state: Arc<EguiEditorState>,
    /// The way to the host's parameters, from the first opening on. Only the main thread locks it.
    host: Mutex<Option<GuiContext>>,
}

impl Default for Window {
    fn default() -> Self {
        Self {
            state: EguiEditorState::from_size(FIRST_SIZE, 1.0),
            host: Mutex::new(None),
        }
    }
}

impl Window {
    /// Whether the window is open. Never waits.
    pub fn is_open(&self) -> bool {
        self.state.is_open()
    }

    pub(super) fn remember_host(&self, host: GuiContext) {
        if let Ok(mut remembered) = self.host.lock() {
            *remembered = Some(host);
        }
    }

    /// Sets Listen to Output, as one gesture of the host. On the main thread.
    pub fn listen_to_output(&self, params: &OutputParams) {
        let host = self.host.lock().ok().and_then(|host| host.clone());
        if let Some(host) = host.filter(|_| params.listen.modulated_plain_value() != LISTEN_TO_OUTPUT) {
            let setter = host.param_setter();
            setter.begin_set_parameter(&params.listen);
            setter.set_parameter(&params.listen, LISTEN_TO_OUTPUT);
            setter.end_set_parameter(&params.listen);
        }
    }
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
