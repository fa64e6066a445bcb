//! Pointer and keys of Windows.

use windows_sys::Win32::UI::Input::KeyboardAndMouse as input;
use windows_sys::Win32::UI::WindowsAndMessaging as windows;

use super::{Screen, check};
use crate::hosts::message_queue;
use crate::hosts::window::{Button, Key};

/// What the wheel turns by in a notch (`WHEEL_DELTA`).
const NOTCH: i32 = 120;

impl Screen {
    /// Moves the pointer to a pixel of the screen.
    pub fn point(&self, x: i16, y: i16) -> anyhow::Result<()> {
        // SAFETY: numbers.
        let is_done = unsafe { windows::SetCursorPos(x.into(), y.into()) };
        message_queue::hand_out();
        check(is_done != 0, "the pointer does not move")
    }

    /// Presses or releases a button; a wheel turns as it is pressed.
    pub fn button(&self, button: Button, down: bool) -> anyhow::Result<()> {
        let (flags, turn) = match (button, down) {
            (Button::Left, true) => (input::MOUSEEVENTF_LEFTDOWN, 0),
            (Button::Left, false) => (input::MOUSEEVENTF_LEFTUP, 0),
            (Button::Right, true) => (input::MOUSEEVENTF_RIGHTDOWN, 0),
            (Button::Right, false) => (input::MOUSEEVENTF_RIGHTUP, 0),
            (Button::WheelUp, true) => (input::MOUSEEVENTF_WHEEL, NOTCH),
            (Button::WheelDown, true) => (input::MOUSEEVENTF_WHEEL, -NOTCH),
            (Button::WheelUp | Button::WheelDown, false) => return Ok(()),
        };
        // SAFETY: numbers.
        unsafe { input::mouse_event(flags, 0, 0, turn, 0) };
        message_queue::hand_out();
        Ok(())
    }

    /// Presses or releases a key, with Shift where the character needs it.
    pub fn key(&self, key: Key, down: bool) -> anyhow::Result<()> {
        let (code, shifted) = code(key)?;
        let send = |code: u16, down: bool| {
            let flags = if down { 0 } else { input::KEYEVENTF_KEYUP };
            // SAFETY: numbers.
            unsafe { input::keybd_event(code as u8, 0, flags, 0) };
        };
        if shifted && down {
            send(input::VK_SHIFT, true);
        }
        send(code, down);
        if shifted && !down {
            send(input::VK_SHIFT, false);
        }
        message_queue::hand_out();
        Ok(())
    }
}

/// The virtual code of a key, and whether Shift must be held.
fn code(key: Key) -> anyhow::Result<(u16, bool)> {
    let code = match key {
        Key::Sign(sign) => {
            // SAFETY: a number.
            let found = unsafe { input::VkKeyScanW(sign as u16) };
            return match found {
                -1 => Err(anyhow::anyhow!("no key produces {key:?}")),
                found => Ok((found as u16 & 0xff, found & 0x100 != 0)),
            };
        }
        Key::Enter => input::VK_RETURN,
        Key::Escape => input::VK_ESCAPE,
        Key::Tab => input::VK_TAB,
        Key::Backspace => input::VK_BACK,
        Key::Delete => input::VK_DELETE,
        Key::Home => input::VK_HOME,
        Key::End => input::VK_END,
        Key::Left => input::VK_LEFT,
        Key::Up => input::VK_UP,
        Key::Right => input::VK_RIGHT,
        Key::Down => input::VK_DOWN,
        Key::Space => input::VK_SPACE,
        Key::Shift => input::VK_SHIFT,
        Key::Control => input::VK_CONTROL,
        Key::Alt => input::VK_MENU,
    };
    Ok((code, false))
}
