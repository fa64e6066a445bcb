//! What an editor shows under Wine.
//!
//! Wine 8 lets a child window draw by OpenGL into a window of its X server that nobody sees, and then copies that to the
//! screen; the copy names no target, and the screen stays empty (seen by `xtrace`). So pictures are read from that window.

use x11rb::connection::Connection;
use x11rb::protocol::xproto::{ConnectionExt, GetGeometryReply, ImageFormat, Window};
use x11rb::rust_connection::RustConnection;

use super::{Picture, ask_x_server};
use crate::hosts::clap::SizePx;

/// The X server that Wine draws on, as a program of Windows reaches it. Not set on Windows itself.
const DISPLAY: &str = "SISKIN_WINE_DISPLAY";
/// Wine's parent of those windows: a pixel beside the screen.
const PARENT: (i16, i16, u16, u16) = (-1, -1, 1, 1);

/// The X server.
pub struct WinePictures {
    connection: RustConnection,
    root: Window,
}

impl WinePictures {
    /// Connects, if this is Wine.
    pub fn connect() -> anyhow::Result<Option<Self>> {
        let Some(display) = std::env::var_os(DISPLAY) else {
            return Ok(None);
        };
        let (connection, screen) = ask_x_server(|| Ok(RustConnection::connect(display.to_str())?))?;
        let root = connection.setup().roots[screen].root;
        Ok(Some(Self { connection, root }))
    }

    /// What the editor that was opened as number `index` of those that are open shows; `None` before it has drawn.
    pub fn picture(&self, index: usize, size: SizePx) -> anyhow::Result<Option<Picture>> {
        ask_x_server(|| {
            let Some(&window) = self.windows()?.get(index) else {
                return Ok(None);
            };
            let Some(shape) = self.shape(window)? else {
                return Ok(None);
            };
            if u32::from(shape.width) < size.width || u32::from(shape.height) < size.height {
                return Ok(None);
            }
            let (width, height) = (size.width as u16, size.height as u16);
            let image = self
                .connection
                .get_image(ImageFormat::Z_PIXMAP, window, 0, 0, width, height, u32::MAX)?
                .reply()
                .ok();
            Ok(image.map(|image| Picture::from_blue_green_red_pad(size.width, size.height, &image.data)))
        })
    }

    /// `None` where the window has gone meanwhile.
    fn shape(&self, window: Window) -> anyhow::Result<Option<GetGeometryReply>> {
        Ok(self.connection.get_geometry(window)?.reply().ok())
    }

    /// Windows that are drawn into, in the order in which they were made.
    fn windows(&self) -> anyhow::Result<Vec<Window>> {
        let mut found = Vec::new();
        for window in self.connection.query_tree(self.root)?.reply()?.children {
            let shape = self.shape(window)?;
            if shape.is_some_and(|shape| (shape.x, shape.y, shape.width, shape.height) == PARENT) {
                let inside = self.connection.query_tree(window)?.reply().ok();
                found.extend(inside.map_or(Vec::new(), |inside| inside.children));
            }
        }
        Ok(found)
    }
}
