//! The screen of Windows: windows, pointer, keys and pictures, by the functions of `user32` and `gdi32`.

use std::cell::{Cell, RefCell};

use windows_sys::Win32::Foundation::{HWND, LPARAM, LRESULT, RECT, WPARAM};
use windows_sys::Win32::Graphics::Gdi::{
    BI_RGB, BITMAPINFO, BITMAPINFOHEADER, BitBlt, CreateCompatibleBitmap, CreateCompatibleDC,
    CreateSolidBrush, DIB_RGB_COLORS, DeleteDC, DeleteObject, GetDC, GetDIBits, ReleaseDC, SRCCOPY,
    SelectObject,
};
use windows_sys::Win32::System::LibraryLoader::GetModuleHandleW;
use windows_sys::Win32::UI::Input::KeyboardAndMouse as input;
use windows_sys::Win32::UI::WindowsAndMessaging as windows;

use super::wine_picture::WinePictures;
use super::{Key, Picture, WindowError};
use crate::hosts::clap::SizePx;
use crate::hosts::message_queue;

/// Background of a host window, which no editor uses.
pub const EMPTY: [u8; 3] = [0x20, 0x40, 0x60];
/// What the wheel turns by in a notch (`WHEEL_DELTA`).
const NOTCH: i32 = 120;

/// A pointer button.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Button {
    /// The left one.
    Left,
    /// The right one.
    Right,
    /// The wheel, up.
    WheelUp,
    /// The wheel, down.
    WheelDown,
}

/// A host window, which an editor is embedded in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HostWindow {
    /// Its handle, of which Windows uses 32 bits.
    pub id: u32,
    /// Left edge on the screen, pixels.
    pub left: i16,
    /// Upper edge on the screen, pixels.
    pub top: i16,
}

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

fn check(holds: bool, what: &str) -> Result<(), WindowError> {
    match holds {
        true => Ok(()),
        false => Err(WindowError::Server(what.to_owned())),
    }
}

unsafe extern "system" fn handle_message(window: HWND, message: u32, word: WPARAM, long: LPARAM) -> LRESULT {
    // SAFETY: the arguments are those that Windows gave.
    unsafe { windows::DefWindowProcW(window, message, word, long) }
}

impl Screen {
    /// Registers the class of host windows.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn open() -> Result<Self, WindowError> {
        let name = wide("SiskinTestHost");
        let [red, green, blue] = EMPTY.map(u32::from);
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
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn window(&self, size: SizePx, left: i16, top: i16) -> Result<HostWindow, WindowError> {
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
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn resize(&self, window: HostWindow, size: SizePx) -> Result<(), WindowError> {
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
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn destroy(&self, window: HostWindow) -> Result<(), WindowError> {
        // SAFETY: a window of this thread.
        let is_done = unsafe { windows::DestroyWindow(window.handle()) };
        self.open.borrow_mut().retain(|open| *open != window);
        message_queue::hand_out();
        check(is_done != 0, "a window cannot be destroyed")
    }

    /// Raises a window and gives it keyboard focus.
    ///
    /// # Errors
    ///
    /// None.
    pub fn focus(&self, window: HostWindow) -> Result<(), WindowError> {
        if self.wine.is_some() {
            draw_anew_when_resized(window);
        }
        // SAFETY: a window of this thread.
        unsafe {
            windows::SetForegroundWindow(window.handle());
            input::SetFocus(window.handle());
        }
        message_queue::hand_out();
        Ok(())
    }

    /// Sizes of the windows directly inside `window`.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn children(&self, window: HostWindow) -> Result<Vec<SizePx>, WindowError> {
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
    ///
    /// # Errors
    ///
    /// None.
    pub fn clients(&self) -> Result<usize, WindowError> {
        Ok(0)
    }

    /// What the screen shows at `window`.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn picture(&self, window: HostWindow, size: SizePx) -> Result<Picture, WindowError> {
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
            rgb: EMPTY.repeat((size.width * size.height) as usize),
        }))
    }

    /// Moves the pointer to a pixel of the screen.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn point(&self, x: i16, y: i16) -> Result<(), WindowError> {
        // SAFETY: numbers.
        let is_done = unsafe { windows::SetCursorPos(x.into(), y.into()) };
        message_queue::hand_out();
        check(is_done != 0, "the pointer does not move")
    }

    /// Presses or releases a button; a wheel turns as it is pressed.
    ///
    /// # Errors
    ///
    /// [`WindowError::Server`].
    pub fn button(&self, button: Button, down: bool) -> Result<(), WindowError> {
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
    ///
    /// # Errors
    ///
    /// [`WindowError::NoKey`].
    pub fn key(&self, key: Key, down: bool) -> Result<(), WindowError> {
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

    /// Forgets the frames that were drawn so far, in all windows.
    ///
    /// # Errors
    ///
    /// None.
    pub fn discard_frames(&self) -> Result<(), WindowError> {
        self.discarded.set(message_queue::frames());
        Ok(())
    }

    /// Whether something was drawn, in any window of this thread, since the last look.
    ///
    /// # Errors
    ///
    /// None.
    pub fn has_frame(&self, _window: HostWindow) -> Result<bool, WindowError> {
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

/// What the screen shows at `window`.
fn picture_of_screen(window: HostWindow, size: SizePx) -> Result<Picture, WindowError> {
    let (width, height) = (size.width as i32, size.height as i32);
    let mut pixels = vec![0_u8; 4 * size.width as usize * size.height as usize];
    // SAFETY: the screen's own context; every object is released; there is room for 32 bits a pixel.
    let lines = unsafe {
        let screen = GetDC(std::ptr::null_mut());
        let memory = CreateCompatibleDC(screen);
        let bitmap = CreateCompatibleBitmap(screen, width, height);
        let before = SelectObject(memory, bitmap);
        let (left, top) = (window.left.into(), window.top.into());
        BitBlt(memory, 0, 0, width, height, screen, left, top, SRCCOPY);
        SelectObject(memory, before);
        let mut form: BITMAPINFO = std::mem::zeroed();
        form.bmiHeader.biSize = size_of::<BITMAPINFOHEADER>() as u32;
        form.bmiHeader.biWidth = width;
        // From top to bottom.
        form.bmiHeader.biHeight = -height;
        form.bmiHeader.biPlanes = 1;
        form.bmiHeader.biBitCount = 32;
        form.bmiHeader.biCompression = BI_RGB;
        let into = pixels.as_mut_ptr().cast();
        let lines = GetDIBits(
            memory,
            bitmap,
            0,
            size.height,
            into,
            &raw mut form,
            DIB_RGB_COLORS,
        );
        DeleteObject(bitmap);
        DeleteDC(memory);
        ReleaseDC(std::ptr::null_mut(), screen);
        lines
    };
    check(lines == height, "no picture of the screen")?;
    Ok(Picture::from_blue_green_red_pad(size.width, size.height, &pixels))
}

/// The virtual code of a key, and whether Shift must be held.
fn code(key: Key) -> Result<(u16, bool), WindowError> {
    let code = match key {
        Key::Sign(sign) => {
            // SAFETY: a number.
            let found = unsafe { input::VkKeyScanW(sign as u16) };
            return match found {
                -1 => Err(WindowError::NoKey(format!("{key:?}"))),
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
