//! Keeps the keyboard after a click, on X11.
//!
//! An embedded window has to take the keyboard focus by itself. baseview 0.4.2 does so on a click, but once and only while
//! its own flag says that it has no focus. Two things undo it: the window manager and the host answer the same click by
//! giving the focus to the host's window, mostly a moment later; and the flag is set although the focus is elsewhere, since
//! X reports a focus change to the window under the pointer, too (`NotifyPointer`). Then keys go to the host's window and
//! nothing tells why. So the focus is requested again in each of the frames that follow a click; where the window has it
//! already, the server ignores the request. That ends when the pointer leaves the editor.

use egui::Context;
use nice_plug_egui::Frame;
use std::time::Duration;

/// Frames after a click in which the focus is requested: more than a second at 60 frames a second, in which window manager
/// and host have answered. After that the focus stays where the person puts it.
const FRAMES: u32 = 64;
/// Delay of the next frame while the focus is requested.
const FRAME_INTERVAL: Duration = Duration::from_millis(16);

/// Frames in which the focus is still to be requested.
#[derive(Debug, Clone, Copy, Default)]
pub struct KeyboardFocus {
    frames_left: u32,
}

impl KeyboardFocus {
    /// Requests the focus if a click was not long ago. To be called once a frame.
    pub fn hold(&mut self, context: &Context, frame: &Frame) {
        // Elsewhere a window keeps the focus that a click gives it.
        if cfg!(any(target_os = "windows", target_os = "macos")) || !self.is_wanted(context) {
            return;
        }
        // X refuses while the window is hidden.
        let _hidden = frame.baseview_window().focus().is_err();
        context.request_repaint_after(FRAME_INTERVAL);
    }

    fn is_wanted(&mut self, context: &Context) -> bool {
        let (clicked, pointer_inside) =
            context.input(|input| (input.pointer.any_pressed(), input.pointer.has_pointer()));
        self.frames_left = if clicked {
            FRAMES
        } else if pointer_inside {
            self.frames_left.saturating_sub(1)
        } else {
            // The next click may be on another window: a request that is on its way then would take the focus from it.
            0
        };
        self.frames_left > 0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::{Event, Modifiers, PointerButton, Pos2, RawInput};

    /// Frames in which the focus is requested after these events.
    fn frames_after(context: &Context, focus: &mut KeyboardFocus, events: Vec<Event>) -> usize {
        let mut events = Some(events);
        let mut wanted = 0;
        for _ in 0..2 * FRAMES {
            let input = RawInput {
                events: events.take().unwrap_or_default(),
                ..RawInput::default()
            };
            let mut output = context.run_ui(input, |ui| {
                wanted += usize::from(focus.is_wanted(ui.ctx()));
            });
            output.textures_delta.clear();
        }
        wanted
    }

    fn press() -> Vec<Event> {
        let pos = Pos2::new(5.0, 5.0);
        let button = PointerButton::Primary;
        let modifiers = Modifiers::NONE;
        vec![
            Event::PointerMoved(pos),
            Event::PointerButton {
                pos,
                button,
                pressed: true,
                modifiers,
            },
        ]
    }

    #[test]
    fn focus_is_requested_for_some_frames_after_a_click_only() {
        let (context, mut focus) = (Context::default(), KeyboardFocus::default());
        assert_eq!(frames_after(&context, &mut focus, vec![]), 0);
        assert_eq!(frames_after(&context, &mut focus, press()), FRAMES as usize);
        assert_eq!(frames_after(&context, &mut focus, vec![]), 0);
    }

    #[test]
    fn a_pointer_that_leaves_ends_the_requests() {
        let (context, mut focus) = (Context::default(), KeyboardFocus::default());
        let mut taken_back = press();
        taken_back.push(Event::WindowFocused(false));
        assert_eq!(frames_after(&context, &mut focus, taken_back), FRAMES as usize);
        let mut clicked = press();
        clicked.truncate(2);
        let mut output = context.run_ui(
            RawInput {
                events: clicked,
                ..RawInput::default()
            },
            |ui| assert!(focus.is_wanted(ui.ctx())),
        );
        output.textures_delta.clear();
        let elsewhere = vec![Event::PointerGone];
        assert_eq!(frames_after(&context, &mut focus, elsewhere), 0);
    }
}
