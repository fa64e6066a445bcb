//! The screen of Windows: windows and frames, by the functions of `user32`. Pictures, and pointer and keys, are in modules of
//! their own.

#[path = "windows_capture.rs"]
mod capture;
#[path = "windows_input.rs"]
mod pointer_and_keys;

use std::cell::{Cell, RefCell};

use windows_sys::Win32::Foundation::{HWND, LPARAM, LRESULT, RECT, WPARAM};
use windows_sys::Win32::Graphics::Gdi::CreateSolidBrush;
use windows_sys::Win32::System::LibraryLoader::GetModuleHandleW;
use windows_sys::Win32::UI::Input::KeyboardAndMouse as input;
use windows_sys::Win32::UI::WindowsAndMessaging as windows;

use super::wine_picture::WinePictures;
use super::{EMPTY, HostWindow, Picture};
use crate::hosts::clap::SizePx;
use crate::hosts::message_queue;
use capture::picture_of_screen;

impl HostWindow {
    fn handle(self) -> HWND {
        self.id as usize as HWND
    }

    /// The window inside.
    fn editor(self) -> HWND {
        // SAFETY: numbers; Windows knows which are windows.
        unsafe { windows::GetWindow(self.handle(), windows::GW_CHILD) }
    }
}

/// The screen.
pub struct Screen {
    /// Frames that had been drawn when they were last discarded.
    discarded: Cell<u64>,
    /// Windows that are open, the oldest first.
    open: RefCell<Vec<HostWindow>>,
    /// Where pictures come from under Wine.
    wine: Option<WinePictures>,
}

fn wide(text: &str) -> Vec<u16> {
    text.encode_utf16().chain([0]).collect()
}

fn check(holds: bool, what: &str) -> anyhow::Result<()> {
    match holds {
        true => Ok(()),
        false => anyhow::bail!("{what}"),
    }
}

unsafe extern "system" fn handle_message(window: HWND, message: u32, word: WPARAM, long: LPARAM) -> LRESULT {
    // SAFETY: the arguments are those that Windows gave.
    unsafe { windows::DefWindowProcW(window, message, word, long) }
}

impl Screen {
    /// Registers the class of host windows.
    pub fn open() -> anyhow::Result<Self> {
        let name = wide("SiskinTestHost");
        let [red, green, blue, _] = EMPTY.to_array().map(u32::from);
        // SAFETY: a class of numbers and handles, all of which may be zero; the name outlives the call.
        unsafe {
            let mut class: windows::WNDCLASSW = std::mem::zeroed();
            class.lpfnWndProc = Some(handle_message);
            class.hInstance = GetModuleHandleW(std::ptr::null());
            class.hbrBackground = CreateSolidBrush(blue << 16 | green << 8 | red);
            class.lpszClassName = name.as_ptr();
            // Refused where an earlier test has registered it.
            windows::RegisterClassW(&raw const class);
        }
        Ok(Self {
            discarded: Cell::new(0),
            open: RefCell::default(),
            wine: WinePictures::connect()?,
        })
    }

    /// Creates and shows a window without decoration, with its upper left corner at (`left`, `top`).
    pub fn window(&self, size: SizePx, left: i16, top: i16) -> anyhow::Result<HostWindow> {
        let name = wide("SiskinTestHost");
        // SAFETY: the class is registered, the name outlives the call, and there is no parent, menu or parameter.
        let handle = unsafe {
            windows::CreateWindowExW(
                windows::WS_EX_TOPMOST,
                name.as_ptr(),
                name.as_ptr(),
                windows::WS_POPUP | windows::WS_VISIBLE | windows::WS_CLIPCHILDREN,
                left.into(),
                top.into(),
                size.width as i32,
                size.height as i32,
                std::ptr::null_mut(),
                std::ptr::null_mut(),
                GetModuleHandleW(std::ptr::null()),
                std::ptr::null(),
            )
        };
        check(!handle.is_null(), "no window")?;
        message_queue::hand_out();
        let window = HostWindow {
            id: handle as usize as u32,
            left,
            top,
        };
        self.open.borrow_mut().push(window);
        Ok(window)
    }

    /// Resizes a window.
    pub fn resize(&self, window: HostWindow, size: SizePx) -> anyhow::Result<()> {
        let (width, height) = (size.width as i32, size.height as i32);
        let flags = windows::SWP_NOMOVE | windows::SWP_NOZORDER;
        // SAFETY: a window of this thread.
        let is_done = unsafe {
            windows::SetWindowPos(window.handle(), std::ptr::null_mut(), 0, 0, width, height, flags)
        };
        message_queue::hand_out();
        check(is_done != 0, "a window cannot be resized")
    }

    /// Destroys a window.
    pub fn destroy(&self, window: HostWindow) -> anyhow::Result<()> {
        // SAFETY: a window of this thread.
        let is_done = unsafe { windows::DestroyWindow(window.handle()) };
        self.open.borrow_mut().retain(|open| *open != window);
        message_queue::hand_out();
        check(is_done != 0, "a window cannot be destroyed")
    }

    /// Raises a window and gives the keyboard to the editor in it, as on X11, where keys go to the window under the pointer; to
    /// itself where there is no editor.
    pub fn focus(&self, window: HostWindow) -> anyhow::Result<()> {
        let editor = window.editor();
        let focused = if editor.is_null() { window.handle() } else { editor };
        if self.wine.is_some() {
            draw_anew_when_resized(window);
        }
        // SAFETY: windows of this thread.
        unsafe {
            windows::SetForegroundWindow(window.handle());
            input::SetFocus(focused);
        }
        message_queue::hand_out();
        Ok(())
    }

    /// Sizes of the windows directly inside `window`.
    pub fn children(&self, window: HostWindow) -> anyhow::Result<Vec<SizePx>> {
        let mut sizes = Vec::new();
        // SAFETY: windows of this thread, and room for the answer.
        unsafe {
            let mut child = windows::GetWindow(window.handle(), windows::GW_CHILD);
            while !child.is_null() {
                let mut area: RECT = std::mem::zeroed();
                check(
                    windows::GetClientRect(child, &raw mut area) != 0,
                    "a window without a size",
                )?;
                sizes.push(SizePx {
                    width: area.right as u32,
                    height: area.bottom as u32,
                });
                child = windows::GetWindow(child, windows::GW_HWNDNEXT);
            }
        }
        Ok(sizes)
    }

    /// Windows has no clients of a screen.
    pub fn clients(&self) -> anyhow::Result<usize> {
        Ok(0)
    }

    /// What the screen shows at `window`.
    pub fn picture(&self, window: HostWindow, size: SizePx) -> anyhow::Result<Picture> {
        let Some(wine) = &self.wine else {
            return picture_of_screen(window, size);
        };
        // The windows of editors that were closed stay until their tests end.
        let open = self.open.borrow();
        let mut with_editor = open.iter().filter(|open| !open.editor().is_null());
        let index = with_editor.position(|open| *open == window);
        let drawn = index.map_or(Ok(None), |index| wine.picture(index, size))?;
        Ok(drawn.unwrap_or_else(|| Picture {
            width: size.width,
            height: size.height,
            rgb: EMPTY.to_array()[..3].repeat((size.width * size.height) as usize),
        }))
    }

    /// Forgets the frames that were drawn so far, in all windows.
    pub fn discard_frames(&self) -> anyhow::Result<()> {
        self.discarded.set(message_queue::frames());
        Ok(())
    }

    /// Whether something was drawn, in any window of this thread, since the last look.
    pub fn has_frame(&self, _window: HostWindow) -> anyhow::Result<bool> {
        let drawn = message_queue::frames();
        Ok(self.discarded.replace(drawn) < drawn)
    }
}

/// Has the editor in `window` keep nothing that was drawn when its size changes: for what is kept, Wine 8 waits without end
/// for an answer about the screen that it did not name (see `wine_picture`).
fn draw_anew_when_resized(window: HostWindow) {
    let editor = window.editor();
    // SAFETY: a window of this thread, and the style of its class.
    unsafe {
        let style = windows::GetClassLongPtrW(editor, windows::GCL_STYLE);
        let anew = (windows::CS_HREDRAW | windows::CS_VREDRAW) as usize;
        windows::SetClassLongPtrW(editor, windows::GCL_STYLE, (style | anew) as isize);
    }
}
