//! The editor of an insert, inside a window of the host's.

use anyhow::{Context, Result};
use clack_extensions::gui::{GuiApiType, GuiConfiguration, GuiSize, PluginGui, Window};

use super::Plugin;
use crate::lock;

/// The size of an editor, in pixels of the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SizePx {
    /// From left to right.
    pub width: u32,
    /// From top to bottom.
    pub height: u32,
}

impl SizePx {
    /// So many pixels by so many.
    pub const fn new(width: u32, height: u32) -> Self {
        Self { width, height }
    }
}

impl From<GuiSize> for SizePx {
    fn from(size: GuiSize) -> Self {
        Self::new(size.width, size.height)
    }
}

impl From<SizePx> for GuiSize {
    fn from(size: SizePx) -> Self {
        Self {
            width: size.width,
            height: size.height,
        }
    }
}

/// Inside another window, as every host that is known does it.
const EMBEDDED: GuiConfiguration = GuiConfiguration {
    api_type: if cfg!(windows) {
        GuiApiType::WIN32
    } else {
        GuiApiType::X11
    },
    is_floating: false,
};

impl Plugin {
    /// Makes the editor and says how large it wishes to be; `scale` is the scale of the host's screen, where it sets one.
    /// Fails where there is no editor, or where it is open already.
    pub fn create_editor(&mut self, scale: Option<f64>) -> Result<SizePx> {
        let editor = self.editor()?;
        self.requests.offer_window(true);
        let handle = self.instance.plugin_handle();
        editor
            .create(&handle, EMBEDDED)
            .ok()
            .context("the editor was not opened: it refused to be made")?;
        if let Some(scale) = scale {
            editor
                .set_scale(&handle, scale)
                .ok()
                .context("the editor was not opened: it refused the scale of the screen")?;
        }
        editor
            .get_size(&handle)
            .map(SizePx::from)
            .context("the editor was not opened: it does not say how large it is")
    }

    /// Puts the editor that was made into the window `parent` (of X11, or a handle of Windows) and shows it.
    pub fn show_editor(&mut self, parent: u32) -> Result<()> {
        let editor = self.editor()?;
        let handle = self.instance.plugin_handle();
        // SAFETY: the handle is that of a window of this program.
        #[cfg(windows)]
        let window = unsafe { Window::from_win32_hwnd(parent as usize as *mut std::ffi::c_void) };
        #[cfg(not(windows))]
        let window = Window::from_x11_handle(parent.into());
        // SAFETY: the window is the caller's and outlives the editor: `close_editor` comes first.
        unsafe { editor.set_parent(&handle, window) }
            .ok()
            .context("the editor was not opened: it refused its window")?;
        editor
            .show(&handle)
            .ok()
            .context("the editor was not opened: it refused to be shown")
    }

    /// Takes the editor down; does nothing where none is open.
    pub fn close_editor(&mut self) {
        self.requests.offer_window(false);
        if let Ok(editor) = self.editor() {
            editor.destroy(&self.instance.plugin_handle());
        }
    }

    /// How large the editor says it is.
    pub fn editor_size(&mut self) -> Result<SizePx> {
        let editor = self.editor()?;
        editor
            .get_size(&self.instance.plugin_handle())
            .map(SizePx::from)
            .context("the editor was not opened: it does not say how large it is")
    }

    /// The size next to `wished` that the editor can have.
    pub fn nearest_editor_size(&mut self, wished: SizePx) -> Result<SizePx> {
        let editor = self.editor()?;
        editor
            .adjust_size(&self.instance.plugin_handle(), wished.into())
            .map(SizePx::from)
            .context("the editor was not opened: it has no size next to the wished one")
    }

    /// Gives the editor another size, as a person does who drags the host's window.
    pub fn resize_editor(&mut self, size: SizePx) -> Result<()> {
        let editor = self.editor()?;
        editor
            .set_size(&self.instance.plugin_handle(), size.into())
            .ok()
            .context("the editor was not opened: it refused its size")
    }

    /// The size that the editor itself has asked for since the last call, if any.
    pub fn asked_editor_size(&mut self) -> Option<SizePx> {
        lock(&self.requests.window).size.take().map(SizePx::from)
    }

    /// Whether the host's windows keep their size, whatever the editor asks for.
    pub fn fix_window(&mut self, is_fixed: bool) {
        lock(&self.requests.window).is_fixed = is_fixed;
    }

    /// How often the editor has asked for another size.
    #[must_use]
    pub fn sizes_asked(&self) -> usize {
        lock(&self.requests.window).asked
    }

    fn editor(&mut self) -> Result<PluginGui> {
        self.extension("an editor")
    }
}
