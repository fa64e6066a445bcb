//! The screen of an X server: windows, pointer, keys and pictures.

use x11rb::CURRENT_TIME;
use x11rb::connection::Connection;
use x11rb::protocol::Event;
use x11rb::protocol::damage::{self, ConnectionExt as _};
use x11rb::protocol::xproto::{
    BUTTON_PRESS_EVENT, BUTTON_RELEASE_EVENT, ConfigureWindowAux, ConnectionExt, CreateWindowAux,
    ImageFormat, InputFocus, KEY_PRESS_EVENT, KEY_RELEASE_EVENT, MOTION_NOTIFY_EVENT, WindowClass,
};
use x11rb::protocol::xtest::ConnectionExt as _;
use x11rb::rust_connection::RustConnection;

use super::keys::Keyboard;
use super::{Button, EMPTY, HostWindow, Key, Picture, ask_x_server};
use crate::hosts::clap::SizePx;

/// A connection to the screen.
pub struct Screen {
    connection: RustConnection,
    root: u32,
    keyboard: Keyboard,
}

impl Screen {
    /// Connects to the display of the environment.
    pub fn open() -> anyhow::Result<Self> {
        ask_x_server(|| {
            let (connection, screen) = x11rb::connect(None)?;
            let root = connection.setup().roots[screen].root;
            connection.damage_query_version(1, 1)?.reply()?;
            let keyboard = Keyboard::new(&connection)?;
            Ok(Self {
                connection,
                root,
                keyboard,
            })
        })
    }

    pub(super) fn connection(&self) -> &RustConnection {
        &self.connection
    }

    pub(super) fn root(&self) -> u32 {
        self.root
    }

    /// Creates and shows a window without decoration, with its upper left corner at (`left`, `top`).
    pub fn window(&self, size: SizePx, left: i16, top: i16) -> anyhow::Result<HostWindow> {
        ask_x_server(|| {
            let id = self.connection.generate_id()?;
            let [red, green, blue, _] = EMPTY.to_array().map(u32::from);
            let attributes = CreateWindowAux::new()
                .background_pixel(red << 16 | green << 8 | blue)
                .override_redirect(1);
            let (width, height) = (size.width as u16, size.height as u16);
            let class = WindowClass::INPUT_OUTPUT;
            self.connection.create_window(
                0,
                id,
                self.root,
                left,
                top,
                width,
                height,
                0,
                class,
                0,
                &attributes,
            )?;
            self.connection.map_window(id)?;
            let report = self.connection.generate_id()?;
            self.connection
                .damage_create(report, id, damage::ReportLevel::RAW_RECTANGLES)?;
            self.wait()?;
            Ok(HostWindow { id, left, top })
        })
    }

    /// Resizes a window.
    pub fn resize(&self, window: HostWindow, size: SizePx) -> anyhow::Result<()> {
        ask_x_server(|| {
            let change = ConfigureWindowAux::new().width(size.width).height(size.height);
            self.connection.configure_window(window.id, &change)?;
            self.wait()
        })
    }

    /// Destroys a window.
    pub fn destroy(&self, window: HostWindow) -> anyhow::Result<()> {
        ask_x_server(|| {
            self.connection.destroy_window(window.id)?;
            self.wait()
        })
    }

    /// Raises a window and gives it keyboard focus.
    pub fn focus(&self, window: HostWindow) -> anyhow::Result<()> {
        ask_x_server(|| {
            let front = ConfigureWindowAux::new().stack_mode(x11rb::protocol::xproto::StackMode::ABOVE);
            self.connection.configure_window(window.id, &front)?;
            self.connection
                .set_input_focus(InputFocus::PARENT, window.id, CURRENT_TIME)?;
            self.wait()
        })
    }

    /// Sizes of the windows directly inside `window`.
    pub fn children(&self, window: HostWindow) -> anyhow::Result<Vec<SizePx>> {
        ask_x_server(|| {
            let tree = self.connection.query_tree(window.id)?.reply()?;
            let size = |&child: &u32| {
                let shape = self.connection.get_geometry(child)?.reply()?;
                Ok(SizePx::new(shape.width.into(), shape.height.into()))
            };
            tree.children.iter().map(size).collect()
        })
    }

    /// Number of connections to the server with at least one resource.
    pub fn clients(&self) -> anyhow::Result<usize> {
        ask_x_server(|| {
            use x11rb::protocol::res::ConnectionExt as _;
            Ok(self.connection.res_query_clients()?.reply()?.clients.len())
        })
    }

    /// What the screen shows at `window`.
    pub fn picture(&self, window: HostWindow, size: SizePx) -> anyhow::Result<Picture> {
        ask_x_server(|| {
            let (width, height) = (size.width as u16, size.height as u16);
            // Read from the screen: an editor may have another depth than its parent window.
            let image = self
                .connection
                .get_image(
                    ImageFormat::Z_PIXMAP,
                    self.root,
                    window.left,
                    window.top,
                    width,
                    height,
                    u32::MAX,
                )?
                .reply()?;
            Ok(Picture::from_blue_green_red_pad(
                size.width,
                size.height,
                &image.data,
            ))
        })
    }

    /// Moves the pointer to a pixel of the screen.
    pub fn point(&self, x: i16, y: i16) -> anyhow::Result<()> {
        self.fake(MOTION_NOTIFY_EVENT, 0, x, y)
    }

    /// Presses or releases a button.
    pub fn button(&self, button: Button, down: bool) -> anyhow::Result<()> {
        let event = if down {
            BUTTON_PRESS_EVENT
        } else {
            BUTTON_RELEASE_EVENT
        };
        self.fake(event, button as u8, 0, 0)
    }

    /// Presses or releases a key, with Shift where the character needs it.
    pub fn key(&self, key: Key, down: bool) -> anyhow::Result<()> {
        let (code, shifted) = self.keyboard.code(key)?;
        let (shift, _) = self.keyboard.code(Key::Shift)?;
        if shifted && down {
            self.fake(KEY_PRESS_EVENT, shift, 0, 0)?;
        }
        self.fake(if down { KEY_PRESS_EVENT } else { KEY_RELEASE_EVENT }, code, 0, 0)?;
        if shifted && !down {
            self.fake(KEY_RELEASE_EVENT, shift, 0, 0)?;
        }
        Ok(())
    }

    fn fake(&self, event: u8, detail: u8, x: i16, y: i16) -> anyhow::Result<()> {
        ask_x_server(|| {
            self.connection
                .xtest_fake_input(event, detail, CURRENT_TIME, self.root, x, y, 0)?;
            self.wait()
        })
    }

    /// Forgets the frames that were drawn so far, in all windows.
    pub fn discard_frames(&self) -> anyhow::Result<()> {
        ask_x_server(|| {
            self.wait()?;
            while self.connection.poll_for_event()?.is_some() {}
            Ok(())
        })
    }

    /// Whether something was drawn in `window` since the last look.
    pub fn has_frame(&self, window: HostWindow) -> anyhow::Result<bool> {
        ask_x_server(|| {
            while let Some(event) = self.connection.poll_for_event()? {
                if matches!(event, Event::DamageNotify(drawn) if drawn.drawable == window.id) {
                    return Ok(true);
                }
            }
            Ok(false)
        })
    }

    /// Waits until the server has handled all requests.
    fn wait(&self) -> anyhow::Result<()> {
        self.connection.get_input_focus()?.reply()?;
        Ok(())
    }
}
