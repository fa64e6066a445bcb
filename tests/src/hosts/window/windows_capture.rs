//! Pictures of the screen of Windows, by the functions of `gdi32`.

use windows_sys::Win32::Graphics::Gdi::{
    BI_RGB, BITMAPINFO, BITMAPINFOHEADER, BitBlt, CreateCompatibleBitmap, CreateCompatibleDC, DIB_RGB_COLORS,
    DeleteDC, DeleteObject, GetDC, GetDIBits, ReleaseDC, SRCCOPY, SelectObject,
};

use super::check;
use crate::hosts::clap::SizePx;
use crate::hosts::window::{HostWindow, Picture};

/// What the screen shows at `window`.
pub fn picture_of_screen(window: HostWindow, size: SizePx) -> anyhow::Result<Picture> {
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
